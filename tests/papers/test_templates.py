"""What a template may look at: plain values, and nothing that reads, writes or changes anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Any

import jinja2
import pytest
from PIL import Image

from oilchart.errors import FaultyList
from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.letter.template import wording
from oilchart.papers.templates import Templates
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from tests.builders.papers.checklist import a_list
from tests.conftest import Run

HERON = a_list()
PLAIN = (str, int, float, Fraction, date, Enum, type(None))
RECORDS_IN = ("oilchart.core.", "oilchart.papers.")
PHOTO_VIEW = """
name = "Underside of the Heron 3"
alt = "A photo of the underside of the Heron 3."
photo = "underside.png"
"""


class Watched(Templates):
    """The templates' environment, which tells of a value what a template sees of it."""

    def seen(self, value: object) -> Iterator[tuple[str, object]]:
        """Each name that a template may look at, with what it gets."""
        for name in dir(value):
            if self.is_safe_attribute(value, name, getattr(value, name, None)):
                yield name, getattr(value, name)


def not_plain(value: object, place: str, known: set[int]) -> Iterator[str]:
    """Where something that is not plain can be reached from a value."""
    if isinstance(value, PLAIN) or _mark(value) in known:
        return
    known.add(_mark(value))
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from not_plain(key, f"{place} key", known)
            yield from not_plain(inner, f"{place}.{key}", known)
    elif isinstance(value, tuple | frozenset):
        for inner in value:
            yield from not_plain(inner, f"{place}[]", known)
    elif is_dataclass(value) and type(value).__module__.startswith(RECORDS_IN):
        for name, inner in WATCHED.seen(value):
            yield from not_plain(inner, f"{place}.{name}", known)
    else:
        yield f"{place}: {type(value).__name__}"


def _mark(value: object) -> int:
    """The same for a value that is looked at again, and for its equals."""
    kept.append(value)  # so that no other takes its id
    try:
        return hash((type(value), value))
    except TypeError:
        return id(value)


kept: list[object] = []
WATCHED = Watched()


@pytest.fixture
def given_values(monkeypatch: pytest.MonkeyPatch) -> dict[str, dict[str, Any]]:
    """What each template is given meanwhile, by its name."""
    fill, given = jinja2.Template.render, {}

    def watched(template: jinja2.Template, *args: Any, **named: Any) -> str:
        given[str(template.name)] = dict(*args, **named)
        return fill(template, *args, **named)

    monkeypatch.setattr(jinja2.Template, "render", watched)
    return given


@pytest.fixture
def photo_shop(demo_shop: Shop) -> Shop:
    """The demo with a logo and a drawing that is a photo."""
    folder = demo_shop.folder
    for place, size in ((folder, (300, 100)), (folder / "points" / "views", (1000, 700))):
        place.mkdir(parents=True, exist_ok=True)
        Image.new("RGB", size, "#336699").save(place / "underside.png")
    (folder / "points" / "views" / "underside.toml").write_text(PHOTO_VIEW, encoding="utf-8")
    settings = folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8") + '\n[paper]\nlogo = "underside.png"\n',
        encoding="utf-8",
    )
    return demo_shop


PAGES = [
    ("checklist", "M-001", "-o", "checklist.html"),
    ("board", "-o", "board.html"),
    ("models", "place", "heron-3", "underside", "-o", "place.html"),
    ("models", "views", "-o", "views.html"),
    ("letters", "--due", "-o", "letters.pdf"),
]


def test_every_value_that_a_template_is_given_is_plain(
    photo_shop: Shop, run: Run, given_values: dict[str, dict[str, Any]]
) -> None:
    for words in PAGES:
        assert run(*words, shop=photo_shop.folder).exit_code == 0
    pages = {file.name for file in packaged("templates").glob("*.html")}
    assert given_values.keys() - {"service.txt"} == pages
    assert "service.txt" in given_values
    known: set[int] = set()
    faults = [
        fault
        for name, values in sorted(given_values.items())
        for each, value in values.items()
        for fault in not_plain(value, f"{name}: {each}", known)
    ]
    assert faults == []
    assert len(known) > 1_000


@pytest.mark.parametrize(
    ("page", "reached"),
    [
        ("checklist", "checklist.style.logo.photo.file.path.parent.joinpath('shop.db').unlink()"),
        ("checklist", "checklist.pictures[0].view.photo.path.read_text()"),
        ("checklist", "checklist.style.logo.photo.jpeg()"),
        ("place", "sheet.view.photo.path.parent.joinpath('pwned.txt').write_text('x')"),
        ("views", "drawings[0][0].view.photo.jpeg()"),
        ("board", "meanings.clear()"),
        ("board", "board.in_state(())"),
        ("board", "board.machines[0].reckoning.machine"),
        ("board", "board.machines[0].schedule.planner"),
        ("board", "near.__globals__"),
        ("board", "near.__closure__"),
        ("letters", "shop.clear()"),
        ("letters", "machines.clear()"),
    ],
)
def test_a_template_that_reaches_for_more_is_refused_with_file_and_line_and_nothing_is_touched(
    photo_shop: Shop, run: Run, page: str, reached: str
) -> None:
    names = {"views": "sheet.html", "letters": "letters/service.txt"}
    template = photo_shop.folder / "templates" / names.get(page, f"{page}.html")
    template.parent.mkdir(parents=True, exist_ok=True)
    template.write_text(f"one\n\n{{{{ {reached} }}}}\n\nfour", encoding="utf-8")
    before = {file: file.read_bytes() for file in photo_shop.folder.rglob("*") if file.is_file()}
    [words] = [words for words in PAGES if page in words]
    answer = run(*words, shop=photo_shop.folder)
    assert answer.exit_code == 1
    assert f"{template}: line 3: " in answer.stderr
    assert len(answer.stderr.splitlines()) == 1
    after = {file: file.read_bytes() for file in photo_shop.folder.rglob("*") if file.is_file()}
    assert after == before


def test_a_template_of_the_shops_has_loops_macros_counters_and_methods_of_plain_values(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    template = demo_shop.folder / "templates" / "checklist.html"
    template.parent.mkdir(parents=True, exist_ok=True)
    template.write_text(
        "{% macro row(step) %}{{ step.work.upper() }} {{ minutes_short(step.minutes) }}"
        "{% endmacro %}"
        "{% set found = namespace(many=0) %}{% set odd = cycler('a', 'b') %}"
        "{% for step in checklist.steps %}{% set found.many = found.many + 1 %}"
        "{{ loop.index }}{{ odd.next() }} {{ row(step) }}\n{% endfor %}"
        "{{ found.many }} on {{ checklist.on.strftime('%d.%m.') }} {{ row.name }}"
        "{{ {'a': 1}.items() | length }}{{ checklist.heading[0].split(' ')[0] }}",
        encoding="utf-8",
    )
    answer = run("checklist", "M-001", "-o", "page.html", shop=demo_shop.folder)
    assert (answer.exit_code, answer.stderr) == (0, "wrote page.html\n")
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert page.startswith("1a ")
    assert page.splitlines()[1].startswith("2b ")
    assert page.endswith("on 25.11. row1M-001")


ESCAPES = [
    # names that begin with underscores, straight, by a filter, by a format, by an index
    "''.__class__.__mro__",
    "day|attr('__class__')",
    "'{0.__class__.__mro__}'.format(day)",
    "'{0[__class__]}'.format(day)",
    "day['__class__']",
    "[day]|map(attribute='__class__')|first",
    "[day]|map('attr', '__class__')|first",
    # what every template has, and itself
    "lipsum.__globals__",
    "lipsum.func_globals",
    "cycler.__init__.__globals__",
    "namespace.__init__",
    "range.__self__",
    "self.__init__",
    "self._TemplateReference__context",
    "(day.upper).__self__",
    "row.__init__",
    "row._func",
    # what no template has, and files that are none of its own
    "open('shop.db')",
    "config",
    "request",
    "day.__import__('os')",
    # no end
    "range(10 ** 9)",
    "row()",
]


@pytest.mark.parametrize("escape", ESCAPES)
def test_a_template_gets_out_by_no_way_that_is_known(tmp_path: Path, escape: str) -> None:
    (tmp_path / "letters").mkdir()
    macro = "{% macro row() %}{{ row() }}{% endmacro %}"
    files = {"checklist.html": "", "letters/service.txt": "Subject\n\n"}
    for name, head in files.items():
        text = f"{head}{macro}\n{{{{ {escape} }}}}\n\nWith regards"
        (tmp_path / name).write_text(text, encoding="utf-8")
    for name, head in files.items():
        with pytest.raises(FaultyList) as refusal:
            if name == "checklist.html":
                checklist_page(HERON, [tmp_path, packaged("templates")])
            else:
                wording("service", [tmp_path], {"day": "Monday"})
        [fault] = refusal.value.faults
        line = 1 + head.count("\n") + (0 if escape == "row()" else 1)
        assert fault.startswith(f"{tmp_path / name}: line {line}: ")


@pytest.mark.parametrize(
    "other", ["/etc/passwd", "../shop.toml", "letters/../../shop.toml", "..", "nowhere.html", ""]
)
@pytest.mark.parametrize("how", ["include", "extends", "import"])
def test_a_template_takes_in_no_file_but_those_beside_it(
    tmp_path: Path, how: str, other: str
) -> None:
    (tmp_path / "shop.toml").write_text("secret", encoding="utf-8")
    folder = tmp_path / "templates"
    folder.mkdir()
    word = f"{{% {how} '{other}'{' as x' if how == 'import' else ''} %}}"
    (folder / "checklist.html").write_text(f"\n{word}\n", encoding="utf-8")
    with pytest.raises(FaultyList) as refusal:
        checklist_page(HERON, [folder, packaged("templates")])
    [fault] = refusal.value.faults
    assert fault.startswith(f"{folder / 'checklist.html'}: line 2: ")


@pytest.mark.parametrize("link", ["secret.txt", "shared", "letters/secret.txt"])
@pytest.mark.parametrize("how", ["include", "extends", "style", "page", "letter"])
def test_a_template_takes_in_no_file_that_a_link_beside_it_leads_to_elsewhere(
    tmp_path: Path, how: str, link: str
) -> None:
    elsewhere, folder = tmp_path / "elsewhere", tmp_path / "templates"
    (folder / "letters").mkdir(parents=True)
    elsewhere.mkdir()
    secret = elsewhere / "secret.txt"
    secret.write_text("Secret\n\nsecret\n\nsecret", encoding="utf-8")
    (folder / link).symlink_to(elsewhere if link == "shared" else secret)
    taken = "shared/secret.txt" if link == "shared" else link
    page = folder / "checklist.html"
    if how in ("include", "extends"):
        page.write_text(f"\n{{% {how} '{taken}' %}}\n", encoding="utf-8")
    linked = {"style": folder / "checklist.css", "page": page}.get(how)
    if how == "letter":
        linked = folder / "letters" / "service.txt"
    if linked is not None:
        linked.symlink_to(folder / taken)
    with pytest.raises(FaultyList) as refusal:
        if how == "letter":
            wording("service", [folder, packaged("templates")], {})
        else:
            checklist_page(HERON, [folder, packaged("templates")])
    [fault] = refusal.value.faults
    assert fault.startswith(
        f"{linked or folder / taken}: leads to {secret}, outside the folder of "
    )


def test_templates_may_be_links_to_each_other_and_their_folder_one_to_elsewhere(
    tmp_path: Path,
) -> None:
    elsewhere, folder = tmp_path / "elsewhere", tmp_path / "templates"
    (elsewhere / "letters").mkdir(parents=True)
    folder.symlink_to(elsewhere)
    (folder / "plain.txt").write_text("Subject\n\nWords\n\nRegards", encoding="utf-8")
    (folder / "letters" / "service.txt").symlink_to(folder / "plain.txt")
    (folder / "checklist.css").symlink_to(packaged("templates") / "checklist.css")
    assert wording("service", [folder], {}).subject == "Subject"
    shipped = checklist_page(HERON, [packaged("templates")])
    assert checklist_page(HERON, [folder, packaged("templates")]) == shipped
