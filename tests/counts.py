"""How often each test of rules tries: a short count, which every run of pytest makes, and a full
one, which `pytest --full` makes before a promise about so many is taken as kept.

Seeds are fixed for both, so that a run tells tomorrow what it tells today. A short count is no
skip: it is the whole test with at least `LEAST` tries, no more than a busy computer makes in 20
seconds.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from hypothesis import settings

Test = TypeVar("Test", bound=Callable[..., None])

LEAST = 20
SHORT, FULL = "short", "full"
for profile in (SHORT, FULL):
    settings.register_profile(profile, derandomize=True, deadline=None)


# short and full count by test, in the order of the folders
COUNTS: dict[str, tuple[int, int]] = {
    # tests/cli/test_absurd.py
    "test_absurd_values_end_in_a_line_and_leave_the_book_as_it_was_or_as_it_is_said": (24, 140),
    # tests/cli/test_calendars.py
    "test_days_of_a_shop_that_changes_never_lower_a_number_nor_use_an_id_twice": (30, 30),
    # tests/cli/test_stopping.py
    "test_at_any_moment_a_signal_ends_a_run_in_one_line_that_is_true": (30, 300),
    # tests/core/calendar/test_ledger.py
    "test_whatever_is_wanted_numbers_and_stamps_only_rise_and_no_entry_is_lost": (100, 100),
    # tests/core/due/test_due_dates.py
    "test_earliest_likely_and_latest_keep_their_order_within_the_limit_at_rest": (150, 150),
    "test_more_sewing_never_moves_a_date_later": (150, 150),
    "test_the_ends_of_a_window_are_the_plain_due_dates_of_the_ends_of_the_range": (100, 100),
    # tests/core/due/test_rhythm.py
    "test_the_choice_of_rhythms_is_the_best_by_brute_force": (300, 300),
    "test_the_most_use_of_a_stretch_equals_a_sum_day_by_day": (40, 40),
    # tests/core/due/test_risk.py
    "test_the_chance_passes_1_5_and_9_in_10_with_the_earliest_likely_and_latest_date": (
        200,
        200,
    ),
    "test_the_chance_never_falls_while_nothing_is_done": (100, 100),
    "test_of_one_range_the_chance_is_that_of_a_lognormal": (100, 100),
    # tests/core/lists/test_conditions.py
    "test_a_condition_never_moves_a_date_later": (100, 100),
    "test_a_larger_factor_never_moves_a_limit_at_rest_earlier": (100, 100),
    # tests/core/point_lists/test_numbering.py
    "test_whatever_is_taken_out_and_put_in_no_number_is_ever_given_to_another_point": (100, 100),
    # tests/core/planning/test_tally.py
    "test_each_machine_that_is_looked_after_is_counted_once": (100, 1_000),
    # tests/core/planning/test_reckoning_day_by_day.py, in each of 10 parts
    "test_every_date_and_state_of_a_machine_equals_the_day_by_day_simulation": (20, 1_000),
    # tests/core/planning/test_capacity.py
    "test_of_all_plans_it_is_in_time_if_any_is_least_late_and_then_latest": (3_000, 3_000),
    "test_in_a_shop_with_room_a_new_call_moves_few_others": (21, 21),
    "test_the_same_jobs_in_any_order_have_the_same_days": (100, 100),
    "test_every_job_has_an_open_day_from_today_and_no_slot_holds_too_many": (100, 100),
    "test_an_earlier_deadline_never_has_a_later_day": (100, 100),
    "test_without_a_limit_each_job_stands_alone": (100, 100),
    "test_promising_every_day_of_a_plan_changes_nothing": (100, 100),
    "test_one_promised_day_of_a_plan_makes_no_other_late": (100, 100),
    "test_a_machine_200_days_overdue_makes_no_other_late_where_a_place_is_free_today": (
        100,
        100,
    ),
    "test_a_new_job_moves_one_other_at_most_out_of_a_slot_and_all_the_same_way": (100, 100),
    # tests/core/planning/test_carried_over.py
    "test_the_window_it_counts_with_never_comes_sooner_for_being_left_out_later": (300, 300),
    # tests/core/planning/test_fewest_services.py
    "test_no_plan_of_all_has_fewer_services_or_a_later_one": (400, 400),
    "test_no_choice_of_all_has_less_deep_work_on_the_days_of_the_plan": (400, 400),
    "test_steps_of_intervals_move_on_with_each_service_and_still_no_plan_is_better": (400, 400),
    "test_with_points_carried_over_no_plan_of_all_has_fewer_services_or_less_deep_work": (200, 400),
    "test_an_integer_program_finds_no_plan_with_fewer_services_or_less_deep_work": (300, 300),
    "test_with_points_carried_over_an_integer_program_finds_no_plan_with_fewer_services": (80, 300),
    # tests/core/planning/test_follow_up.py
    "test_a_visit_never_makes_an_owner_lapsed_and_one_today_never_leaves_them_so": (100, 100),
    # tests/core/planning/test_visits.py
    "test_no_choice_of_all_has_fewer_days_for_an_owner": (150, 400),
    "test_nothing_comes_later_or_before_its_owners_first_and_no_week_holds_too_many": (200, 400),
    # tests/core/planning/test_own_interval_proposals.py
    "test_from_any_day_days_that_hold_end_before_the_months_and_the_days_they_are": (300, 300),
    "test_a_shorter_interval_never_moves_a_date_later": (200, 200),
    "test_more_sewing_never_moves_a_date_later_with_a_shorter_interval": (150, 150),
    "test_a_proposal_lies_between_a_quarter_of_the_book_and_what_ran_and_is_made_once": (
        250,
        250,
    ),
    "test_hours_proposed_are_seven_tenths_of_what_ran_or_a_quarter_of_the_book": (200, 200),
    "test_days_proposed_are_seven_tenths_of_those_since_or_a_quarter_of_the_book": (200, 200),
    "test_a_later_proposal_never_lengthens": (100, 100),
    # tests/core/planning/test_services_ahead.py
    "test_each_service_is_the_latest_open_day_in_time_by_dates_reckoned_day_by_day": (24, 24),
    "test_no_plan_of_nine_months_has_fewer_services_by_dates_reckoned_day_by_day": (24, 24),
    "test_a_service_recorded_as_planned_leaves_the_others_as_they_were_planned": (60, 60),
    # tests/core/test_days.py
    "test_months_are_those_of_dateutil": (100, 100),
    "test_months_are_those_of_dateutil_on_random_days": (20_000, 100_000),
    "test_there_is_no_open_day_between_a_day_and_its_nearest_open_ones": (100, 100),
    # tests/shop/test_nobody_is_forgotten.py
    "test_each_overdue_machine_is_rung_once_the_free_places_exceed_the_calls_ahead_of_it": (
        20,
        500,
    ),
    # tests/core/planning/test_told_later.py
    "test_a_condition_moves_nothing_later_and_makes_nothing_overdue_that_was_in_time": (150, 3_000),
    "test_what_is_told_of_one_span_changes_no_day_outside_of_it": (40, 1_000),
    # tests/core/records/test_handing_on.py
    "test_what_an_earlier_owner_said_changes_no_date_of_the_present_one": (40, 300),
    # tests/core/use/test_history.py
    "test_due_by_use_equals_the_day_by_day_simulation": (150, 10_000),
    "test_what_is_dropped_of_totals_equals_the_day_by_day_simulation": (100, 3_000),
    "test_use_between_two_days_equals_the_day_by_day_simulation": (150, 300),
    # tests/papers/calendar/test_ics.py
    "test_no_text_breaks_the_file": (150, 150),
    # tests/papers/card/test_month_boxes.py
    "test_a_rhythm_has_a_box_for_each_time_in_the_months_that_are_shown": (100, 100),
    # tests/papers/drawing/test_callouts.py
    "test_up_to_12_places_are_told_apart": (80, 80),
    "test_leaders_cross_nowhere_even_in_a_crowd": (40, 40),
    "test_a_crowd_is_shown_enlarged_until_it_can_be_told_apart": (25, 25),
    "test_the_layout_depends_on_nothing_but_the_places_and_the_size": (25, 25),
    "test_faults_are_what_an_eye_would_find": (100, 100),
    "test_the_cheapest_way_is_that_of_all_ways": (50, 50),
    # tests/papers/drawing/test_picture.py
    "test_up_to_12_places_have_discs_apart_inside_and_no_leaders_that_cross": (200, 200),
    # tests/papers/letter/test_content.py
    "test_no_name_breaks_a_letter_of_text": (100, 100),
    # tests/papers/pdf/test_fit_text.py
    "test_a_word_is_cut_where_the_definition_says": (60, 2_000),
    "test_a_short_text_is_the_longest_beginning_with_a_mark_that_fits": (60, 2_000),
    # tests/papers/test_awkward_words.py
    "test_no_words_stop_a_paper_but_for_a_reason_told_in_a_line": (24, 400),
    "test_no_words_become_a_part_of_a_page": (20, 150),
    # tests/papers/test_scan_words.py
    "test_a_day_for_the_calendar_is_one_entry_whatever_the_shop_is_called": (100, 100),
    # tests/papers/test_screen.py
    "test_no_table_is_wider_than_its_screen_and_none_loses_a_word": (100, 1_000),
    # tests/shop/test_calls_corrected.py
    "test_an_outcome_told_in_the_place_of_another_is_as_if_it_had_been_told_at_once": (20, 300),
    # tests/shop/test_undo.py
    "test_after_an_undo_the_shop_is_as_one_in_which_the_change_was_never_made": (20, 300),
    # tests/sources/book/test_odd_books.py
    "test_a_book_with_flipped_bits_or_pages_is_read_or_refused_in_one_line": (20, 220),
    "test_a_value_of_any_kind_in_any_column_is_read_or_refused_in_one_line": (40, 200),
    # tests/sources/book/test_shop_book.py
    "test_programs_that_write_at_once_lose_nothing": (40, 1_600),
    # tests/sources/book/test_struck.py
    "test_a_command_killed_at_any_moment_leaves_the_book_as_it_was_or_should_be": (24, 200),
    "test_a_system_call_that_fails_leaves_the_book_as_it_was_and_one_line_or_as_it_should_be": (
        20,
        123,
    ),
    "test_an_upgrade_that_is_struck_leaves_an_old_or_a_new_book_and_the_next_command_upgrades_it": (
        20,
        76,
    ),
    # tests/sources/files/test_calendar_file.py
    "test_whatever_stands_in_an_entry_it_is_read_or_counted_or_the_file_refused": (100, 1_000),
    # tests/sources/files/test_findings_file.py
    "test_a_file_with_changed_bytes_is_read_or_refused_in_lines": (100, 600),
    "test_whatever_stands_in_it_is_read_or_refused_in_lines": (100, 100),
    # tests/sources/files/test_toml_table.py
    "test_whatever_a_table_holds_its_faults_are_single_lines": (100, 100),
    "test_a_text_on_one_line_has_only_letters_that_are_seen_and_single_blanks": (100, 100),
    # tests/sources/points/test_intervals.py
    "test_any_words_are_an_interval_or_refused_in_one_line": (500, 500),
    "test_a_harder_condition_never_moves_the_calendar_later": (100, 100),
    "test_the_allowance_of_use_is_less_than_a_tick_below_the_exact_one": (100, 100),
    # tests/sources/words/test_days.py
    "test_a_day_in_figures_is_read_in_its_order_or_refused_and_never_as_another": (200, 2_000),
    "test_a_day_that_is_said_back_is_read_as_itself": (200, 2_000),
    "test_without_a_year_what_was_done_is_past_and_what_is_agreed_is_to_come": (200, 2_000),
    # tests/sources/words/test_reader.py
    "test_every_rate_to_the_hundredth_of_an_hour_is_a_whole_number_of_ticks_a_day": (100, 100),
    "test_a_total_holds_its_minutes_and_its_days": (100, 100),
    "test_any_words_are_understood_or_refused_in_one_line": (800, 5_000),
    "test_a_report_that_is_printed_and_read_again_is_the_same": (200, 500),
    # tests/sources/words/test_report_json.py
    "test_what_is_kept_is_recalled_as_it_was": (300, 300),
    "test_what_is_kept_is_one_line_of_plain_json_and_always_the_same": (100, 100),
    # tests/sources/words/test_rules.py
    # tests/sources/words/test_said.py
    "test_the_order_of_statements_changes_nothing": (300, 10_000),
    "test_any_words_of_the_grammar_are_understood_or_answered_in_one_line": (2_000, 100_000),
}


def is_full() -> bool:
    """Whether the full counts are asked for."""
    return settings.get_current_profile_name() == FULL


def count_of(name: str) -> int:
    """How often a test tries in this run."""
    short, full = COUNTS[name]
    return full if is_full() else short


def counted(test: Test) -> Test:
    """Have Hypothesis try a test as often as the table says."""
    return settings(max_examples=count_of(test.__name__))(test)
