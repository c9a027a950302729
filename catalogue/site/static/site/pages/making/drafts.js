/* Drafts: what is typed is kept as it is typed, and stands in the form again. */

import { plainButton } from "./line.js";
import { DRAFT, read, unsent, write } from "./memory.js";

export function fieldsOf(form) {
  return Array.from(new FormData(form)).filter(function (field) {
    return typeof field[1] === "string" && field[0] !== "csrfmiddlewaretoken";
  });
}

function fill(form, fields) {
  form.querySelectorAll("input[type=checkbox]").forEach(function (box) {
    box.checked = false;
  });
  fields.forEach(function (field) {
    const part = form.elements.namedItem(field[0]); // one of them is called "length"
    if (field[0] === "seen") {
      return; // what is seen is what this page shows
    }
    if (part && part.type === "checkbox") {
      part.checked = true;
      return;
    }
    if (part && part.type !== "file" && part.type !== "submit") {
      part.value = field[1];
    }
  });
}

export function titleOf() {
  return document.querySelector("h1").textContent.trim();
}

/* An answer to a question that takes many (it adds) is a new one each time, also while others wait. */
export function keepDraft(form, adds) {
  const key = DRAFT + window.location.pathname;
  form.addEventListener("input", function () {
    write(key, { title: titleOf(), fields: fieldsOf(form) });
  });
  const waiting = unsent().find(function (item) {
    return item.path === window.location.pathname && (item.refused || !adds);
  });
  const draft = read(key) || waiting;
  if (draft) {
    fill(form, draft.fields);
  }
  if (draft && draft !== waiting) {
    form.after(unsentLine(form, key));
  }
}

function unsentLine(form, key) {
  const words = document.createElement("p");
  const button = plainButton("Throw it away", function () {
    write(key, null);
    form.reset();
    words.remove();
  });
  words.id = "typed-before";
  words.append("You typed this before and have not sent it yet. ", button);
  return words;
}
