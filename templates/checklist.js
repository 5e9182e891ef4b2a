"use strict";

(() => {
  document.body.classList.add("running");
  const { key, model: MODEL, edition: EDITION = "", machine: MACHINE, day: DAY, daysKept = 60 } = document.body.dataset;
  // A list of no machine keeps what is noted in its tab alone, and no other file's.
  const KEY = key || `oilchart:2:tab:${MODEL}:${location.pathname}`;
  const TYPE_KEY = "oilchart:1:type";
  const BY_KEY = "oilchart:1:by"; // who works at this device
  const WHY_NOT_SAID = "found on the bench, why was not written";
  const LISTS = /^oilchart:[12]:checklist:/; // the first form ends with a day, and had no shop's name
  const LEAST = 16; // px: letters of 16 minutes of arc on a desk's screen
  const SEATS = [[1, true], [1, false], [0.95, false], [0.9, false], [0.85, false], [0.8, false]]; // share of the type chosen, with reasons or without

  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const one = (selector, within = document) => within.querySelector(selector);

  const tasks = all(".task");
  const planned = tasks.filter((task) => !("later" in task.dataset));
  const steps = tasks.filter((task) => "step" in task.dataset);
  const box = (task) => one(".done", task);
  const chosen = (task, kind) => all(`.${kind}:checked`, task).map((choice) => choice.value).filter(Boolean);
  const words = (selector, within = document) => (one(selector, within)?.value || "").trim();
  const danger = () => one(".danger-kind:checked")?.value || "";
  const onDrawing = (step) => (step ? all(`.picture [data-step="${step}"]`) : []);
  let now = null; // the task that is marked in the list and lit on the drawing
  const asked = new Set(); // fields that were asked for once: the next time it is saved without them
  let waiting = true; // whether the mark went on by itself and nobody has turned to its task yet

  // What the page says.

  function minutesWords(minutes) {
    const whole = Math.ceil(Number((minutes / 5).toFixed(6))) * 5;
    const hours = Math.floor(whole / 60);
    const rest = whole % 60;
    if (!hours) return `about ${rest} min`;
    return rest ? `about ${hours} h ${rest} min` : `about ${hours} h`;
  }

  // What needs current is struck while the machine is unsafe; with a fault of its mains side, the test of that, too.
  function isStruck(task) {
    if ("struck" in task.dataset) return true;
    return danger() !== "" && ("power" in task.dataset || ("proof" in task.dataset && danger() === "electrical"));
  }

  const counted = () => planned.filter((task) => !isStruck(task));

  function showDanger() {
    const now = one(".danger-kind:checked");
    if (!now) return; // a page of the shop's own
    const why = words("#why-unsafe");
    one("#danger-now").textContent = danger() ? `${now.dataset.words}: ${why || "say why"}` : "";
    const unsafe = danger() !== "" || all(".danger-line").length > 1;
    for (const part of all(".danger, .to-danger")) part.hidden = !unsafe;
    one("#why-asked").hidden = danger() === "";
  }

  function show() {
    showDanger();
    for (const task of tasks) {
      const ticked = box(task).checked;
      const struck = isStruck(task);
      task.classList.toggle("struck", struck);
      onDrawing(task.dataset.step).forEach((part) => part.classList.toggle("put-off", struck || "later" in task.dataset));
      if (one(".reason", task)) one(".reason", task).hidden = ticked || struck || !(asked.has(one(".why-left", task)) || words(".why-left", task));
      task.classList.toggle("ticked", ticked);
      onDrawing(task.dataset.step).forEach((part) => part.classList.toggle("ticked", ticked));
      if (task.dataset.step) {
        one(".found-words", task).textContent = chosen(task, "found").join(", ");
        one(".left-words", task).textContent = chosen(task, "left").join(", ");
      }
    }
    for (const stage of all(".stage")) {
      const own = tasks.filter((task) => task.dataset.bay === stage.dataset.bay);
      const mine = own.filter((task) => !("later" in task.dataset || isStruck(task)));
      stage.classList.toggle("struck", own.some((task) => isStruck(task) && !task.dataset.step) && own.every((task) => isStruck(task) || !task.dataset.step));
      const done = mine.filter((task) => box(task).checked).length;
      one(".of", stage).textContent = `${done} of ${mine.length}`;
      const link = one(`.strip [data-bay="${stage.dataset.bay}"]`);
      link.style.setProperty("--share", `${mine.length ? (100 * done) / mine.length : 100}%`);
      link.classList.toggle("finished", done === mine.length);
    }
    const open = counted().filter((task) => !box(task).checked);
    const minutes = open.reduce((sum, task) => sum + Number(task.dataset.minutes || 0), 0);
    one(".note-words").textContent = one("#note").value.trim();
    one("#count").textContent = `${counted().length - open.length} of ${counted().length} done`;
    one("#left").textContent = open.length ? (minutes ? `${minutesWords(minutes)} left` : "") : "Nothing left.";
  }

  function mark(task) {
    if (now) {
      now.classList.remove("now");
      onDrawing(now.dataset.step).forEach((part) => part.classList.remove("lit"));
    }
    now = task;
    now.classList.add("now");
    const parts = onDrawing(now.dataset.step);
    parts.forEach((part) => part.classList.add("lit"));
    for (const link of all(".strip a")) {
      if (link.dataset.bay === now.dataset.bay) link.setAttribute("aria-current", "step");
      else link.removeAttribute("aria-current");
    }
    const caption = one("#now");
    if (!caption) return;
    const step = now.dataset.step;
    const place = one(step ? ".where" : ".words", now).textContent;
    caption.textContent = step ? `${step} ${place}${parts.length ? "" : " (on no drawing)"}` : place;
    const canvas = one(".canvas");
    if (parts.length) showSheet(all(".sheet").indexOf(parts[0].closest(".sheet")));
    if (parts.length && canvas.scrollWidth > canvas.clientWidth) {
      const disc = one(".callout.lit .disc").getBoundingClientRect();
      const frame = canvas.getBoundingClientRect();
      canvas.scrollLeft += disc.left + disc.width / 2 - frame.left - frame.width / 2;
    }
  }

  // Of several drawings one is shown: that of the task at hand, or the one that was chosen.
  function showSheet(at) {
    all(".sheet").forEach((sheet, other) => sheet.classList.toggle("shown", other === at));
    if (one("#view")) one("#view").selectedIndex = at;
  }

  function following(task) {
    const among = counted();
    const at = task ? among.indexOf(task) : -1;
    return [...among.slice(at + 1), ...among.slice(0, at + 1)].find((other) => !box(other).checked);
  }

  function go(task) {
    if (!task) return;
    box(task).focus({ preventScroll: true });
    task.scrollIntoView({ block: "nearest" });
  }

  // After a tick the next task comes into view if it lies just below; a list ticked out of order stays where it is.
  function bringIntoView(task) {
    const top = task.getBoundingClientRect().top;
    const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (top > 0 && top < 2 * window.innerHeight) task.scrollIntoView({ block: "nearest", behavior: calm ? "auto" : "smooth" });
  }

  // What is noted of some tasks: ids of those done, and the words chosen.

  function noted(of) {
    const found = {};
    const left = {};
    const leftOut = {};
    for (const task of of) {
      const id = box(task).value;
      if (!box(task).checked && words(".why-left", task)) leftOut[id] = words(".why-left", task);
      if (chosen(task, "found").length) found[id] = chosen(task, "found");
      if (chosen(task, "left").length) [left[id]] = chosen(task, "left");
    }
    return { done: of.filter((task) => box(task).checked).map((task) => box(task).value), found, left, left_out: leftOut, unsafe: unsafeNow(), check: checkNow(), note: words("#note") };
  }

  const unsafeNow = () => (danger() ? { danger: danger(), why: words("#why-unsafe") } : null);

  function checkNow() {
    const check = { by: words(".check-by"), result: one(".check-result:checked")?.value || "", reading: words(".check-reading") };
    return Object.values(check).some(Boolean) ? check : null;
  }

  const isNoted = ({ done, found, left, left_out: leftOut, unsafe, check, note }) =>
    Boolean(done.length || note || unsafe || check || [found, left, leftOut].some((words) => Object.keys(words).length));

  // What the browser keeps: what was noted, never whose machine it is.

  const store = () => (key ? localStorage : sessionStorage);

  function keep() {
    const now = noted(tasks);
    const day = one("#day").value;
    const some = isNoted(now) || day !== DAY;
    const kept = stored(JSON.stringify({ ...now, day, kept: isoDay(new Date()) }));
    if (kept && !some) store().removeItem(KEY);
    one("#not-kept").hidden = kept;
    if (one("#kept")) one("#kept").hidden = true;
  }

  function stored(text) {
    for (;;) {
      try {
        store().setItem(KEY, text);
        return true;
      } catch {
        if (!key || !dropOldest()) return false;
      }
    }
  }

  function isoDay(when) {
    return [when.getFullYear(), when.getMonth() + 1, when.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
  }

  // The day on which something was last noted on a list; empty where that cannot be read.
  function lastNoted(list) {
    let day = list.slice(-10);
    if (!list.startsWith("oilchart:1:")) {
      try {
        day = JSON.parse(localStorage.getItem(list)).kept;
      } catch {
        return "";
      }
    }
    return /^\d{4}-\d\d-\d\d$/.test(day) ? day : "";
  }

  const otherLists = () => Object.keys(localStorage).filter((list) => LISTS.test(list) && list !== KEY);

  // A full store gives up the list that was noted on longest ago.
  function dropOldest() {
    try {
      const oldest = otherLists().sort((a, b) => (lastNoted(a) < lastNoted(b) ? -1 : 1))[0];
      if (!oldest) return false;
      localStorage.removeItem(oldest);
      return localStorage.getItem(oldest) === null;
    } catch {
      return false;
    }
  }

  // Lists of long ago are not kept for good.
  function sweep() {
    const since = new Date();
    since.setDate(since.getDate() - Number(daysKept));
    try {
      for (const list of Object.keys(localStorage)) {
        if (LISTS.test(list) && lastNoted(list) < isoDay(since)) localStorage.removeItem(list);
      }
    } catch {
      // Nothing is kept here.
    }
  }

  const text = (value) => (typeof value === "string" ? value : "");

  function recall() {
    let kept = {};
    try {
      kept = JSON.parse(store().getItem(KEY)) || {};
    } catch {
      // Nothing kept, or nothing that can be read: the list starts fresh.
    }
    const done = Array.isArray(kept.done) ? kept.done : [];
    for (const task of tasks) {
      const id = box(task).value;
      const found = (kept.found || {})[id] || [];
      const left = (kept.left || {})[id] || "";
      box(task).checked = done.includes(id);
      for (const choice of all(".found", task)) choice.checked = found.includes(choice.value);
      for (const choice of all(".left", task)) choice.checked = choice.value === left;
      if (one(".why-left", task)) one(".why-left", task).value = text((kept.left_out || {})[id]);
    }
    const unsafe = kept.unsafe || {};
    const kind = all(".danger-kind").find((choice) => choice.value === text(unsafe.danger)) || one(".danger-kind");
    if (kind) kind.checked = true;
    if (one("#why-unsafe")) one("#why-unsafe").value = text(unsafe.why);
    const check = kept.check || {};
    const result = all(".check-result").find((choice) => choice.value === text(check.result)) || one(".check-result");
    if (result) result.checked = true;
    for (const part of ["by", "reading"]) if (one(`.check-${part}`)) one(`.check-${part}`).value = text(check[part]);
    one("#note").value = typeof kept.note === "string" ? kept.note : "";
    one("#day").value = typeof kept.day === "string" ? kept.day : "";
    if (!one("#day").value) one("#day").value = DAY;
    return kept;
  }

  // A page that opens with what was noted before says so.
  function opened() {
    const { kept } = recall();
    show();
    const now = noted(tasks);
    const { done } = now;
    if (!isNoted(now)) {
      keep();
      return;
    }
    const when = new Date(`${kept}T12:00`);
    const of = Number.isNaN(when.getTime()) ? "" : ` of ${when.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}`;
    const ticks = done.length === 1 ? "1 tick" : `${done.length} ticks`;
    offerToClear(`${done.length ? ticks : "Notes"} kept${of}.`, "Clear the list");
  }

  function offerToClear(words, button) {
    if (!one("#kept")) return; // a page of the shop's own
    one("#kept-words").textContent = words;
    one("#forget").textContent = button;
    one("#kept").hidden = false;
  }

  // The findings as a small file, for the shop's book to read.

  function save() {
    const now = noted(steps);
    const complete = now.check && now.check.by && now.check.result;
    now.done = now.done.filter((id) => !steps.some((task) => "proof" in task.dataset && box(task).value === id));
    const wanted = wantedFields(now, complete).filter((field) => !asked.has(field));
    if (wanted.length) {
      ask(wanted);
      return;
    }
    now.check = complete ? { by: now.check.by, passed: now.check.result === "passed", reading: now.check.reading } : null;
    if (now.unsafe) now.unsafe.why ||= WHY_NOT_SAID;
    const { done, found, left, unsafe, check, note } = now;
    if (!done.length && !isNoted({ done, found, left, left_out: {}, unsafe, check, note })) {
      say("Nothing is ticked or noted yet: nothing was saved.");
      return;
    }
    const day = one("#day").value || DAY;
    const name = `${MACHINE || MODEL}-${day}-findings.json`;
    const findings = { kind: "oilchart findings", version: 2, model: MODEL, edition: EDITION, machine: MACHINE || null, day, by: words("#by"), ...now };
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([`${JSON.stringify(findings, null, 1)}\n`], { type: "application/json" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    const what = done.length ? `${done.length} of ${steps.length} points` : "what was noted, and no work,";
    say(`Saved ${what} as ${name}: see this browser's downloads.`);
    offerToClear("Saved. Once the work is done and the file is there, nothing need be kept here.", "Done: clear the list");
  }

  // What is still to be told: why it is not safe, why points at which someone can be hurt were left out, whose check it was.
  function wantedFields({ done, unsafe, check }, complete) {
    const fields = unsafe && !unsafe.why ? [one("#why-unsafe")] : [];
    for (const task of counted()) {
      if ("proof" in task.dataset && (box(task).checked || check) && !complete) {
        fields.push(one(check?.by ? ".check-result:checked" : ".check-by", task));
      } else if (done.length && "safety" in task.dataset && !box(task).checked && one(".why-left", task) && !words(".why-left", task)) {
        fields.push(one(".why-left", task));
      }
    }
    return fields;
  }

  function ask(fields) {
    for (const field of fields) asked.add(field);
    show();
    fields[0].focus();
    fields[0].scrollIntoView({ block: "center" });
    const more = fields.length > 1 ? ` ${fields.length} fields are still empty.` : "";
    say(`Not saved yet: say it in the field that is marked, then save again.${more} Saving again without it works, too: then it is asked for when it is recorded.`);
  }

  function say(line) {
    for (const place of all(".saved")) place.textContent = line;
  }

  // Size of type: by the screen's width until one is chosen.

  function typeSize(chosenType) {
    if (chosenType) document.documentElement.dataset.type = chosenType;
    const width = window.innerWidth;
    const acting = chosenType || (width >= 2600 ? "wall" : width >= 1500 ? "bench" : "desk");
    for (const button of all(".size")) button.setAttribute("aria-pressed", String(button.dataset.type === acting));
  }

  function keptType() {
    try {
      const type = localStorage.getItem(TYPE_KEY);
      return ["desk", "bench", "wall"].includes(type) ? type : "";
    } catch {
      return "";
    }
  }

  // Who works at this device, for the next time.

  function keptName() {
    try {
      return localStorage.getItem(BY_KEY) || "";
    } catch {
      return "";
    }
  }

  function keepName() {
    try {
      if (words("#by")) localStorage.setItem(BY_KEY, words("#by"));
      else localStorage.removeItem(BY_KEY);
    } catch {
      // It is then written anew each time.
    }
  }

  // The do-not points stand beside the drawing if all of them are in sight there, in type that is no smaller than LEAST; else above the steps.

  function seatNever() {
    document.documentElement.style.setProperty("--danger-high", `${one(".danger")?.offsetHeight || 0}px`);
    const never = one(".never");
    if (!never) return;
    const plate = one(".plate");
    document.body.classList.remove("aside", "without-why");
    never.style.removeProperty("--share");
    one(".machine").after(never);
    if (getComputedStyle(plate).position !== "sticky") return;
    document.body.classList.add("aside");
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    for (const [share, why] of SEATS) {
      if (share * rem < LEAST) break;
      never.style.setProperty("--share", share);
      document.body.classList.toggle("without-why", !why);
      if (plate.scrollHeight <= plate.clientHeight) return;
    }
    document.body.classList.remove("aside", "without-why");
    never.style.removeProperty("--share");
    one(".work").insertBefore(never, one("#steps"));
  }

  // What hands do.

  document.addEventListener("change", (event) => {
    const task = event.target.closest(".task");
    if (event.target.matches("#by")) keepName();
    if (!task && !event.target.matches("#day, .danger-kind, #why-unsafe")) return;
    if (event.target.matches(".check-result")) box(task).checked = event.target.value !== "";
    say("");
    show();
    keep();
    if (event.target.matches(".danger-kind")) {
      seatNever();
      if (danger() && !words("#why-unsafe")) one("#why-unsafe").focus({ preventScroll: true });
    }
    if (!task) return;
    if (event.target.matches(".done") && event.target.checked) {
      mark(following(task) || task);
      waiting = true;
      bringIntoView(now);
    }
  });

  // What is typed is kept with every letter.
  document.addEventListener("input", (event) => {
    if (!event.target.matches('#note, #why-unsafe, .task input[type="text"]')) return;
    say("");
    show();
    keep();
    if (event.target.matches("#why-unsafe")) seatNever();
  });

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches('input[type="text"]')) return;
    const next = [...asked].find((field) => field !== event.target && field.type === "text" && !field.value.trim() && field.offsetWidth);
    (next || one(".save")).focus();
    event.preventDefault();
  });

  for (const happening of ["focusin", "click"]) {
    document.addEventListener(happening, (event) => {
      const task = event.target.closest(".task");
      if (!task) return;
      mark(task);
      waiting = false;
    });
  }

  document.addEventListener("keydown", (event) => {
    const task = event.target.closest(".task");
    if (!task || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Escape") {
      const findings = one("details[open]", task);
      if (!findings) return;
      findings.open = false;
      one("summary", findings).focus();
    } else if (event.target.matches(".done")) {
      const at = tasks.indexOf(task);
      if (event.key === "ArrowDown") go(tasks[at + 1]);
      else if (event.key === "ArrowUp") go(tasks[at - 1]);
      else if (event.key === "Enter") {
        if (!event.target.checked) event.target.click();
        go(following(task));
      } else return;
      event.preventDefault();
    }
  });

  for (const callout of all(".picture .callout")) {
    callout.addEventListener("click", () => go(tasks.find((task) => task.dataset.step === callout.dataset.step)));
  }

  for (const button of all(".size")) {
    button.addEventListener("click", () => {
      typeSize(button.dataset.type);
      try {
        localStorage.setItem(TYPE_KEY, button.dataset.type);
      } catch {
        // The size is then chosen anew each time.
      }
      seatNever();
      now.scrollIntoView({ block: "nearest" });
    });
  }

  one("#next").addEventListener("click", () => go(waiting && !box(now).checked ? now : following(now)));
  // On paper the do-not points come first, wherever they stand on the screen.
  window.addEventListener("beforeprint", () => {
    if (one(".never")) one(".machine").after(one(".never"));
  });
  window.addEventListener("afterprint", seatNever);

  one("#print").addEventListener("click", () => window.print());
  for (const button of all(".save")) button.addEventListener("click", save);

  const really = one("#really");
  for (const button of all("#clear, #forget")) button.addEventListener("click", () => really.showModal());
  one("#keep").addEventListener("click", () => really.close());
  one("#clear-now").addEventListener("click", () => {
    really.close();
    for (const choice of all('.task input, .danger-kind')) choice.checked = choice.matches('[type="radio"][value=""]');
    for (const field of all('.task input[type="text"], #why-unsafe, #note')) field.value = "";
    one("#day").value = DAY;
    asked.clear();
    say("");
    show();
    keep();
    seatNever();
    if (counted().length) mark(counted()[0]);
  });

  // Another window with the same list.
  window.addEventListener("storage", (event) => {
    if (event.key !== KEY || event.storageArea !== store()) return;
    recall();
    show();
  });
  window.addEventListener("resize", () => {
    typeSize(keptType());
    seatNever();
  });

  const choice = one("#view");
  if (choice) choice.addEventListener("change", () => showSheet(choice.selectedIndex));

  // How high what stays at the top is: a task that is gone to comes to stand below it.
  const bar = one(".bar");
  const drawing = one(".drawing");
  const tops = new ResizeObserver(() => {
    const stays = drawing && getComputedStyle(drawing).position === "sticky" ? drawing.offsetHeight : 0;
    document.documentElement.style.setProperty("--bar", `${bar.offsetHeight}px`);
    document.documentElement.style.setProperty("--stays", `${stays}px`);
  });
  [bar, drawing].filter(Boolean).forEach((element) => tops.observe(element));
  // What is too large for its place scrolls, and then by the keyboard too.
  const scrolling = new ResizeObserver((entries) => {
    for (const { target } of entries) {
      if (target.scrollHeight > target.clientHeight + 1 || target.scrollWidth > target.clientWidth + 1) target.tabIndex = 0;
      else target.removeAttribute("tabindex");
    }
  });
  all(".canvas").forEach((element) => scrolling.observe(element));

  if (one("#by")) one("#by").value = keptName();
  typeSize(keptType());
  seatNever();
  sweep();
  opened();
  showSheet(0);
  if (tasks.length) mark(following(null) || tasks[0]);
})();
