"use strict";

document.querySelector("#names").addEventListener("change", (event) => {
  document.body.classList.toggle("bare", !event.target.checked);
});
