// The total of places as they are typed: the button “Show the total” says the same without this file.
"use strict";
const total = document.querySelector("[data-places-total]");
const fields = (name) => [...document.querySelectorAll(`input[name^="${name}_"]`)];

function count() {
  const most = fields("at_most");
  let least = 0;
  let all = 0;
  fields("at_least").forEach((field, place) => {
    const needed = Math.max(0, Number.parseInt(field.value, 10) || 0);
    const typed = Number.parseInt(most[place].value, 10);
    least += needed;
    all += Number.isNaN(typed) ? needed + Math.ceil(needed / Number(total.dataset.perSpare)) : typed;
  });
  const places = least === 1 ? "place is" : "places are";
  total.textContent = `${least} ${places} needed; with spares there ${all === 1 ? "is" : "are"} ${all} in all.`;
}

if (total) {
  document.addEventListener("input", (event) => {
    if (event.target.name?.startsWith("at_")) count();
  });
}
