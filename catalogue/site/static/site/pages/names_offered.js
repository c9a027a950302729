/* Names offered while a formula or a step is typed: labels are shown, names are put in. */

const MOST = 8;
let list = null;
let input = null;
let words = [];
let way = null;
let at = -1;

/* How a formula is read: what was typed of a name before the caret, null for nothing; what is put in for it.
   A field of another kind brings its own way: `offers` gives the words that fit where the caret stands, `first`
   has the first of them chosen at once, `taken` is told. */
const FORMULA = {
  isCombobox: true,
  typed: function (before) {
    const found = before.match(/[A-Za-z][\w.]*$/);
    return found ? found[0] : null;
  },
  written: function (name) {
    return name;
  },
};

/* How a step is read: a name after an opening brace, which is closed behind it. */
export const REFERENCE = {
  first: true,
  typed: function (before) {
    const found = /(?:^|[^{])\{([A-Za-z][^{}|\n]*|)$/.exec(before);
    return found ? found[1] : null;
  },
  written: function (name, _before, after) {
    return name + (after.startsWith("}") ? "" : "}");
  },
  taken: function (field, written) {
    const place = field.selectionEnd + (written.endsWith("}") ? 0 : 1);
    field.setSelectionRange(place, place);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  },
};

function word() {
  const found = way.typed(input.value.slice(0, input.selectionStart));
  return found === null ? null : found.toLowerCase();
}

function offered(typed) {
  const fitting = way.offers ? way.offers(input.value.slice(0, input.selectionStart)) : words;
  const parts = typed.split(/[\s,]+/);
  const ranked = fitting.map(function (one) {
    const name = one[0].toLowerCase();
    const label = one[1].toLowerCase();
    const isNear = parts.every(function (part) {
      return name.includes(part) || label.includes(part);
    });
    return [name.startsWith(typed) || label.startsWith(typed) ? 0 : isNear ? 1 : 2, one];
  });
  return ranked
    .filter(function (one) {
      return one[0] < 2 && (way.first || one[1][0] !== typed);
    })
    .toSorted(function (one, other) {
      return one[0] - other[0];
    })
    .slice(0, MOST)
    .map(function (one) {
      return one[1];
    });
}

function tellExpanded(isOpen) {
  input.toggleAttribute("aria-controls", isOpen || Boolean(way.isCombobox));
  if (input.hasAttribute("aria-controls")) {
    input.setAttribute("aria-controls", "sheet-words");
  }
  if (way.isCombobox) {
    input.setAttribute("aria-expanded", String(isOpen));
  }
}

export function close() {
  if (list) {
    list.remove();
  }
  if (input) {
    tellExpanded(false);
    input.removeAttribute("aria-activedescendant");
  }
  list = null;
  at = -1;
}

function choose(place) {
  const one = list.children[place];
  const typed = word();
  const end = input.selectionStart;
  const written = way.written(one.dataset.word, input.value.slice(0, end), input.value.slice(end));
  input.setRangeText(written, end - typed.length, end, "end");
  close();
  input.focus();
  if (way.taken) {
    way.taken(input, written);
  }
}

function pick(place) {
  at = (place + list.children.length) % list.children.length;
  Array.from(list.children).forEach(function (one, here) {
    one.setAttribute("aria-selected", String(here === at));
  });
  input.setAttribute("aria-activedescendant", list.children[at].id);
}

export function open() {
  close();
  const typed = word();
  const found = typed === null ? [] : offered(typed);
  if (!found.length) {
    return;
  }
  list = document.createElement("ul");
  list.id = "sheet-words";
  list.className = "sheet-words";
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "Names that fit");
  found.forEach(function (one, place) {
    const item = document.createElement("li");
    item.id = "sheet-word-" + place;
    item.dataset.word = one[0];
    item.setAttribute("role", "option");
    item.setAttribute("aria-selected", "false");
    const label = document.createElement("strong");
    label.textContent = one[1];
    item.append(label, " " + [one[0], one[2]].filter(Boolean).join(", "));
    item.addEventListener("mousedown", function (event) {
      event.preventDefault();
      event.stopPropagation();
      choose(place);
    });
    list.append(item);
  });
  (input.closest("main") || document.body).append(list);
  const box = input.getBoundingClientRect();
  list.style.left =
    Math.max(0, Math.min(box.left, window.innerWidth - list.offsetWidth - 8)) + window.scrollX + "px";
  list.style.top = box.bottom + window.scrollY + "px";
  tellExpanded(true);
  if (way.first) {
    pick(0);
  }
}

export function attach(field, offeredWords, otherWay) {
  input = field;
  words = offeredWords;
  way = otherWay || FORMULA;
  input.setAttribute("aria-autocomplete", "list");
  if (way.isCombobox) {
    input.setAttribute("role", "combobox");
  }
  tellExpanded(false);
  input.removeEventListener("input", open);
  input.addEventListener("input", open);
}

/* Whether a key was meant for the list. */
export function key(event) {
  if (!list) {
    return false;
  }
  if (event.key === "ArrowDown") {
    pick(at + 1);
  } else if (event.key === "ArrowUp") {
    pick(at - 1);
  } else if ((event.key === "Enter" || event.key === "Tab") && at >= 0) {
    choose(at);
  } else if (event.key === "Escape") {
    close();
  } else {
    return false;
  }
  event.preventDefault();
  event.stopPropagation();
  return true;
}

export function put(field, name) {
  const end = field.selectionStart;
  const before = field.value.slice(0, end);
  const joins = /[\w.)%]\s*$/.test(before) && !/\b(along|of)\s*$/.test(before) ? " + " : "";
  field.setRangeText(joins + name, end, field.selectionEnd, "end");
  close();
  field.focus();
}
