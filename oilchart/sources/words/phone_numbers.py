"""Telephone numbers judged by a library that knows which are given out, and put as they are written
there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import phonenumbers
from phonenumbers import PhoneNumberFormat, ValidationResult

from oilchart.core.records.phone import Phone, phones_in

WHY_NOT = {
    ValidationResult.TOO_SHORT: "it is too short",
    ValidationResult.INVALID_LENGTH: "it is too short or too long",
    ValidationResult.TOO_LONG: "it is too long",
    ValidationResult.INVALID_COUNTRY_CODE: "there is no such country code",
    ValidationResult.IS_POSSIBLE_LOCAL_ONLY: "its area code is missing",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A number that is none as far as the library knows; it is kept as it was said."""

    number: str
    why: str


def is_region(code: str) -> bool:
    """Whether the library knows a country by this code of two letters."""
    return code in phonenumbers.SUPPORTED_REGIONS


def read_phones(text: str, region: str) -> tuple[tuple[Phone, ...], tuple[Doubt, ...]]:
    """The numbers in a text, as they are written in the shop's country, and what is doubtful.

    Args:
        region: the country they are dialled in, by its code of two letters, GB; empty where that is
            not known: then only those with a country code are judged.
    """
    phones, doubts = [], []
    for phone in phones_in(text):
        judged = _judged(phone, region)
        if isinstance(judged, Doubt):
            doubts.append(judged)
            phones.append(phone)
        else:
            phones.append(judged)
    return tuple(phones), tuple(doubts)


def _judged(phone: Phone, region: str) -> Phone | Doubt:
    """A number as it is written, or why it is none; as it was said where nothing is known."""
    if not region and not phone.number.startswith("+"):
        return phone
    try:
        number = phonenumbers.parse(phone.number, region or None)
    except phonenumbers.NumberParseException:
        return Doubt(number=phone.number, why="it cannot be dialled")
    if not phonenumbers.is_valid_number(number):
        possible = phonenumbers.is_possible_number_with_reason(number)
        why = WHY_NOT.get(possible, "no such number is given out, or a figure is missing")
        return Doubt(number=phone.number, why=why)
    at_home = phonenumbers.country_code_for_region(region) == number.country_code if region else 0
    written = PhoneNumberFormat.NATIONAL if at_home else PhoneNumberFormat.INTERNATIONAL
    dial = phonenumbers.format_number(number, PhoneNumberFormat.E164)
    return replace(
        phone,
        number=phonenumbers.format_number(number, written),
        dial=f"{dial};ext={number.extension}" if number.extension else dial,
    )
