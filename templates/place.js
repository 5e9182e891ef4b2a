"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const { view, wide, high } = document.body.dataset;
  const plate = document.querySelector("#plate");
  const spots = document.querySelector("#spots");
  const choices = [...document.querySelectorAll('input[name="point"]')];
  const places = new Map(); // id of a point: where it lies on this picture
  const changed = new Set();

  for (const choice of choices) {
    if (choice.dataset.x) places.set(choice.value, [Number(choice.dataset.x), Number(choice.dataset.y)]);
  }

  const chosen = () => choices.find((choice) => choice.checked);
  const tidy = (number) => String(Math.round(number * 10) / 10);
  const within = (number, most) => Math.min(Math.max(Math.round(number), 0), Number(most));

  function put(id, x, y) {
    places.set(id, [within(x, wide), within(y, high)]);
    changed.add(id);
    show();
  }

  function element(name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  }

  function show() {
    const mine = chosen();
    spots.replaceChildren(
      ...[...places].map(([id, [x, y]]) => {
        const group = element("g", mine && mine.value === id ? { class: "chosen" } : {});
        group.append(
          element("line", { x1: x - 40, y1: y, x2: x + 40, y2: y }),
          element("line", { x1: x, y1: y - 40, x2: x, y2: y + 40 }),
          element("circle", { cx: x, cy: y, r: 6 }),
        );
        return group;
      }),
    );
    for (const choice of choices) {
      const place = places.get(choice.value);
      choice.parentElement.querySelector(".at").textContent = place ? place.map(tidy).join(", ") : "";
    }
    document.querySelector("#chosen").textContent = mine ? mine.parentElement.querySelector(".where").textContent : "No point is chosen yet.";
    document.querySelector("#paste").value = choices.filter((choice) => changed.has(choice.value)).map(lines).join("\n");
  }

  // The lines for one point: its place here first, then those on the other drawings, so that none is lost.
  function lines(choice) {
    const place = places.get(choice.value);
    const here = place ? [`["${view}", ${place.map(tidy).join(", ")}]`] : [];
    const all = [...here, ...(choice.dataset.others ? [choice.dataset.others] : [])].join(", ");
    const several = all.split("[").length > 2;
    const at = all ? `at = ${several ? `[${all}]` : all}\n` : "# it lies nowhere now: take its at line out\n";
    const head = "listed" in choice.dataset ? `# below the [change.${choice.value}] that is there already, in place of its at line:` : `[change.${choice.value}]`;
    return `${head}\n${at}`;
  }

  plate.addEventListener("click", (event) => {
    const mine = chosen();
    if (!mine) return;
    const frame = plate.querySelector(".picture").getBoundingClientRect();
    put(mine.value, ((event.clientX - frame.left) / frame.width) * wide, ((event.clientY - frame.top) / frame.height) * high);
  });

  plate.addEventListener("keydown", (event) => {
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const mine = chosen();
    if (!mine || event.altKey || event.ctrlKey || event.metaKey) return;
    if (moves[event.key]) {
      const [x, y] = places.get(mine.value) || [wide / 2, high / 2];
      const far = event.shiftKey ? 10 : 1;
      put(mine.value, x + moves[event.key][0] * far, y + moves[event.key][1] * far);
    } else if (event.key === "Delete" && places.delete(mine.value)) {
      changed.add(mine.value);
      show();
    } else return;
    event.preventDefault();
  });

  for (const choice of choices) choice.addEventListener("change", show);

  document.querySelector("#copy").addEventListener("click", () => {
    const paste = document.querySelector("#paste");
    paste.focus();
    paste.select();
    document.querySelector("#said").textContent = paste.value ? "Selected: copy them with Ctrl+C." : "Nothing has been placed yet.";
  });

  show();
})();
