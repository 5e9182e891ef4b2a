"""Checks an iCalendar file against rules that no library enforces, each with the section of RFC
5545, 7986 or 5546 it comes from."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

SUMMARY_MOST = 200


@dataclass
class Component:
    """A component with its properties, unfolded: name, parameters, value."""

    name: str
    properties: list[tuple[str, str, str]] = field(default_factory=list)
    inner: list[Component] = field(default_factory=list)

    def value(self, name: str) -> str | None:
        """Of the first property of a name."""
        return next((value for key, _, value in self.properties if key == name), None)

    def parameters(self, name: str) -> str:
        """Of the first property of a name, as written; empty where it has none."""
        return next((parameters for key, parameters, _ in self.properties if key == name), "")


LAST_DAY = "99991231"  # after it no day can be written: 3.6.1, without an end it is one day


def faults(data: bytes) -> list[str]:
    """Every rule the file breaks."""
    found = _lines(data)
    calendar = _parsed(data)
    if calendar is None or calendar.name != "VCALENDAR":
        return [*found, "3.6: not one VCALENDAR, or BEGIN and END do not match"]
    found += _calendar(calendar)
    events = [component for component in calendar.inner if component.name == "VEVENT"]
    found += [fault for event in events for fault in _event(event)]
    uids = Counter(event.value("UID") for event in events)
    found += [
        f"3.8.4.7: UID {uid} stands {count} times" for uid, count in uids.items() if count > 1
    ]
    return found


def parsed(data: bytes) -> Component:
    """The file as components."""
    calendar = _parsed(data)
    assert calendar is not None
    return calendar


def _lines(data: bytes) -> list[str]:
    found = []
    if data.startswith(b"\xef\xbb\xbf"):
        found.append("3.1.4: begins with a byte order mark")
    if not data.endswith(b"\r\n") or re.search(rb"(?<!\r)\n|\r(?!\n)", data):
        found.append("3.1: a line does not end in CRLF")
    lines = data.split(b"\r\n")
    found += [f"3.1: a line of {len(line)} octets" for line in lines if len(line) > 75]
    found += ["3.1: a fold splits a character" for line in lines if not _is_text(line)]
    if re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", data):
        found.append("3.3.11: a control character")
    return found


def _is_text(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _parsed(data: bytes) -> Component | None:
    stack: list[Component] = [Component("top")]
    for line in (
        data.decode("utf-8", "replace").replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")
    ):
        if not line:
            continue
        head, _, value = _split(line)
        name, _, parameters = head.partition(";")
        if name == "BEGIN":
            stack.append(Component(value))
        elif name == "END":
            done = stack.pop()
            if done.name != value or not stack:
                return None
            stack[-1].inner.append(done)
        else:
            stack[-1].properties.append((name, parameters, value))
    return (
        stack[0].inner[0]
        if len(stack) == 1 and len(stack[0].inner) == 1 and not stack[0].properties
        else None
    )


def _split(line: str) -> tuple[str, str, str]:
    """Name with parameters, colon, value; a colon within quotes does not count."""
    quoted = False
    for at, char in enumerate(line):
        if char == '"':
            quoted = not quoted
        if char == ":" and not quoted:
            return line[:at], ":", line[at + 1 :]
    return line, "", ""


def _calendar(calendar: Component) -> list[str]:
    found = []
    counts = Counter(name for name, _, _ in calendar.properties)
    found += [
        f"3.6: {name} stands {counts[name]} times"
        for name in ("PRODID", "VERSION")
        if counts[name] != 1
    ]
    if calendar.value("VERSION") != "2.0":
        found.append("3.7.4: VERSION is not 2.0")
    if "METHOD" in counts:
        found.append("5546 3.2.1: METHOD wants an ORGANIZER in every event; a snapshot has none")
    if not calendar.inner:
        found.append("3.6: no component")
    if counts["REFRESH-INTERVAL"] and "VALUE=DURATION" not in calendar.parameters(
        "REFRESH-INTERVAL"
    ):
        found.append("7986 5.7: REFRESH-INTERVAL without VALUE=DURATION")
    found += [
        f"3.3.11: {name} is not escaped: {value}"
        for name, _, value in calendar.properties
        if name == "NAME" and not _escaped(value)
    ]
    return found


def _event(event: Component) -> list[str]:
    uid = event.value("UID") or ""
    found = [f"event {uid}: {fault}" for fault in _event_counts(event)]
    if not re.fullmatch(r"[A-Za-z0-9-]{1,254}", uid):
        found.append(f"event {uid}: 7986 5.3: UID is not an iana-token under 255 octets")
    found += [
        f"event {uid}: 3.8.7: {name} is not in UTC"
        for name in ("DTSTAMP", "CREATED", "LAST-MODIFIED")
        if not re.fullmatch(r"\d{8}T\d{6}Z", event.value(name) or "")
    ]
    start, end = event.value("DTSTART") or "", event.value("DTEND") or ""
    ends = start != LAST_DAY
    if ends and event.parameters("DTSTART") != event.parameters("DTEND"):
        found.append(f"event {uid}: 3.8.2.2: DTEND is of another type than DTSTART")
    if ends and not start < end:
        found.append(f"event {uid}: 3.8.2.2: DTEND {end} is not later than DTSTART {start}")
    if "VALUE=DATE" in event.parameters("DTSTART") and not re.fullmatch(r"\d{8}", start):
        found.append(f"event {uid}: 3.3.4: DTSTART {start} is not a date")
    if event.value("STATUS") not in ("TENTATIVE", "CONFIRMED", "CANCELLED"):
        found.append(f"event {uid}: 3.8.1.11: STATUS {event.value('STATUS')}")
    if event.value("TRANSP") != "TRANSPARENT":
        found.append(f"event {uid}: 3.8.2.7: a reminder that makes the day busy")
    found += [
        f"event {uid}: 3.3.11: {name} is not escaped: {value}"
        for name, _, value in event.properties
        if name in ("SUMMARY", "DESCRIPTION") and not _escaped(value)
    ]
    found += [
        f"event {uid}: {fault}"
        for fault in [*_rule(event), *(fault for alarm in event.inner for fault in _alarm(alarm))]
    ]
    return found


def _rule(event: Component) -> list[str]:
    """Faults of a recurrence rule: RFC 5545 sections 3.3.10 and 3.8.5.3."""
    rule = event.value("RRULE")
    if rule is None:
        return []
    found = []
    parts = dict(part.partition("=")[::2] for part in rule.split(";"))
    if (
        len(parts) != len(rule.split(";"))
        or sum(name == "RRULE" for name, _, _ in event.properties) > 1
    ):
        found.append(f"3.8.5.3: RRULE or a part of it stands twice: {rule}")
    if not rule.startswith("FREQ=") or parts["FREQ"] not in (
        "DAILY",
        "WEEKLY",
        "MONTHLY",
        "YEARLY",
    ):
        found.append(f"3.3.10: FREQ does not come first: {rule}")
    if ("COUNT" in parts) == ("UNTIL" in parts):
        found.append(f"3.3.10: not one of COUNT and UNTIL: {rule}")
    if "UNTIL" in parts and not re.fullmatch(r"\d{8}", parts["UNTIL"]):
        found.append(f"3.3.10: UNTIL is not a date as DTSTART is: {rule}")
    if not int(parts.get("INTERVAL", "1")) >= 1:
        found.append(f"3.3.10: INTERVAL: {rule}")
    if any(not 1 <= abs(int(day)) <= 31 for day in parts.get("BYMONTHDAY", "1").split(",")):
        found.append(f"3.3.10: BYMONTHDAY: {rule}")
    if {"BYSETPOS", "BYHOUR", "BYMINUTE", "BYSECOND"} & set(parts):
        found.append(
            f"3.3.10: a part that a rule of days has not, or that readers take wrongly: {rule}"
        )
    return found


def _alarm(alarm: Component) -> list[str]:
    """Faults of a reminder: RFC 5545 section 3.6.6."""
    if alarm.name != "VALARM":
        return [f"3.6.1: {alarm.name} within an event"]
    counts = Counter(name for name, _, _ in alarm.properties)
    found = [
        f"3.6.6: {name} stands {counts[name]} times"
        for name in ("ACTION", "TRIGGER", "DESCRIPTION")
        if counts[name] != 1
    ]
    if not re.fullmatch(
        r"-?P(?:\d+D)?(?:T(?:\d+H)?(?:\d+M)?(?:\d+S)?)?", alarm.value("TRIGGER") or ""
    ):
        found.append(f"3.8.6.3: TRIGGER {alarm.value('TRIGGER')}")
    return found


def _event_counts(event: Component) -> list[str]:
    counts = Counter(name for name, _, _ in event.properties)
    once = (
        "UID",
        "DTSTAMP",
        "DTSTART",
        *(["DTEND"] if event.value("DTSTART") != LAST_DAY else []),
        "SUMMARY",
        "SEQUENCE",
        "STATUS",
        "CREATED",
        "LAST-MODIFIED",
    )
    return [f"3.6.1: {name} stands {counts[name]} times" for name in once if counts[name] != 1]


def _escaped(value: str) -> bool:
    """Whether every backslash escapes what may be escaped, and every comma and semicolon is
    escaped: RFC 5545 3.3.11."""
    return re.fullmatch(r"(?:[^\\,;]|\\[\\,;nN])*", value) is not None
