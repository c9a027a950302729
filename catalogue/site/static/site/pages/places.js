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
  const spares = all === least ? "" : `; with spares there ${all === 1 ? "is" : "are"} ${all} in all`;
  total.textContent = `${least} ${places} needed${spares}.`;
}

// One line above the sizes fills them all; whoever wants other numbers changes single sizes after it.
function offerEverySize() {
  const every = fields("at_least")[0].closest(".field-row").cloneNode(true);
  for (const [name, words] of [
    ["at_least", "Every size: at least"],
    ["at_most", "Every size: at most"],
  ]) {
    const field = every.querySelector(`input[name^="${name}_"]`);
    field.closest("div").querySelector("label").replaceChildren(words);
    every.querySelector(`label[for="${field.id}"]`).htmlFor = `every_${name}`;
    field.id = `every_${name}`;
    for (const said of ["name", "value", "required", "aria-describedby"]) field.removeAttribute(said);
    field.addEventListener("input", () => {
      for (const one of fields(name)) one.value = field.value;
      count();
    });
  }
  for (const wrong of every.querySelectorAll(".invalid-feedback")) wrong.remove();
  for (const field of every.querySelectorAll(".is-invalid")) field.classList.remove("is-invalid");
  fields("at_least")[0].closest(".field-row").before(every);
}

if (total) {
  offerEverySize();
  document.addEventListener("input", (event) => {
    if (event.target.name?.startsWith("at_")) count();
  });
}
