/* Drafts: what is typed is kept as it is typed, and stands in the form again. */

import { plainButton } from "./line.js";
import { DRAFT, read, unsent, write } from "./memory.js";

export function fieldsOf(form) {
  return Array.from(new FormData(form)).filter(function (field) {
    return typeof field[1] === "string" && field[0] !== "csrfmiddlewaretoken";
  });
}

const SPAN_MM = { cm: 100, in: 101.6 }; // what a gauge is counted over: 10 cm or 4 in

/* What was typed on a page that asked in another unit keeps its meaning. */
function meant(name, typed, was, is) {
  if (name === "length" && /\p{N}$/u.test(typed.trim())) {
    return typed.trim() + " " + was;
  }
  const count = Number(typed.trim().replace(",", "."));
  if ((name === "stitches" || name === "rows") && count) {
    return String(Math.round((count * 10 * SPAN_MM[is]) / SPAN_MM[was]) / 10);
  }
  return typed;
}

function fill(form, fields) {
  const asked = form.elements.namedItem("asked_in");
  const was = (new Map(fields).get("asked_in") || "").toString();
  const isOther = asked && was in SPAN_MM && was !== asked.value;
  form.querySelectorAll("input[type=checkbox]").forEach(function (box) {
    box.checked = false;
  });
  fields.forEach(function (field) {
    const part = form.elements.namedItem(field[0]); // one of them is called "length"
    if (field[0] === "seen" || field[0] === "asked_in") {
      return; // what is seen, and the unit, are what this page shows
    }
    if (part && part.type === "checkbox") {
      part.checked = true;
      return;
    }
    if (part && part.type !== "file" && part.type !== "submit") {
      part.value = isOther ? meant(field[0], field[1], was, asked.value) : field[1];
    }
  });
}

/* Whether this page is the studio's answer to what was just sent. */
export function isRefused(form) {
  return Boolean(form.closest("[data-refused]"));
}

export function titleOf() {
  return document.querySelector("h1").textContent.trim();
}

function firstValue(part) {
  if (part.type !== "select-one") {
    return part.defaultValue;
  }
  const options = Array.from(part.options);
  const first =
    options.find(function (one) {
      return one.defaultSelected;
    }) || options[0];
  return first ? first.value : "";
}

/* On a slow line somebody types before this script is here: what the fields say that the page did not put there. */
function typedAlready(form) {
  return Array.from(form.elements)
    .filter(function (part) {
      if (part.type === "checkbox" || part.type === "radio") {
        return part.checked !== part.defaultChecked;
      }
      return /^(text|textarea|number|date|select-one)$/.test(part.type) && part.value !== firstValue(part);
    })
    .map(function (part) {
      return { part: part, value: part.value, checked: part.checked };
    });
}

/* An answer to a question that takes many (it adds) is a new one each time, also while others wait. */
export function keepDraft(form, adds) {
  const key = DRAFT + window.location.pathname;
  const typed = typedAlready(form);
  function store() {
    write(key, { title: titleOf(), fields: fieldsOf(form) });
  }
  form.addEventListener("input", store);
  const waiting = unsent().find(function (item) {
    return item.path === window.location.pathname && (item.refused || !adds);
  });
  const draft = read(key) || waiting;
  if (draft) {
    fill(form, draft.fields);
  }
  if (draft && draft !== waiting && !isRefused(form)) {
    form.after(unsentLine(form, key));
  }
  if (typed.length) {
    typed.forEach(function (one) {
      one.part.value = one.value;
      one.part.checked = one.checked;
    });
    store();
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
