"use strict";

(() => {
  document.body.classList.add("running");
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const choices = all(".states input");
  const shown = document.querySelector("#shown");

  function show() {
    const choice = choices.find((each) => each.checked) || choices[0];
    const state = choice.value;
    let count = 0;
    for (const row of all("[data-state]")) {
      row.hidden = Boolean(state) && row.dataset.state !== state;
      if (!row.hidden) count += 1;
    }
    for (const list of all("[data-machines]")) {
      list.hidden = Boolean(state) && !all("[data-state]", list).some((row) => !row.hidden);
    }
    for (const fold of all("details[data-machines]")) fold.open = Boolean(state) && !fold.hidden;
    shown.textContent = state ? `Only shown: ${state} (${count}). Choose “all machines” to see the rest.` : "";
  }

  for (const choice of choices) choice.addEventListener("change", show);
  show();
})();
