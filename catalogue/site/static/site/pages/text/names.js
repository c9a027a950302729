/* What is offered in a step: names after an opening brace, blocks after three colons. */

import * as offered from "../names_offered.js";
import { depthOf } from "./blocks.js";
import { data, isTitle, lineOf } from "./lines.js";

const COLONS = /(?:^|\n) *:::( ?)([^\n]*)$/;

/* What was typed of a block; null where the colons close the one that is open. */
function block(before) {
  const found = COLONS.exec(before);
  const closes = found && !found[1] && depthOf(before.slice(0, found.index)) > 0;
  return found && !closes ? found[2] : null;
}

const WAY = {
  ...offered.REFERENCE,
  typed: function (before) {
    const name = offered.REFERENCE.typed(before);
    return name === null ? block(before) : name;
  },
  offers: function (before) {
    return offered.REFERENCE.typed(before) === null ? data.blocks : data.references;
  },
  written: function (name, before, after) {
    if (offered.REFERENCE.typed(before) !== null) {
      return offered.REFERENCE.written(name, before, after);
    }
    return (before.endsWith(":::") ? " " : "") + name + "\n\n:::";
  },
  taken: function (field, written) {
    if (!written.endsWith(":::")) {
      offered.REFERENCE.taken(field, written);
      return;
    }
    const place = field.selectionEnd - 4;
    field.setSelectionRange(place, place);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  },
};

export function offerIn(field) {
  if (isTitle(lineOf(field))) {
    offered.close();
  } else {
    offered.attach(field, data.references, WAY);
  }
}

export function isForList(event) {
  return !isTitle(lineOf(event.target)) && offered.key(event);
}

export function isOffering() {
  return document.getElementById("sheet-words") !== null;
}

export function closeList() {
  offered.close();
}

/* A brace at the caret with the list of names open. */
export function offerValues(field) {
  field.focus();
  field.setRangeText("{", field.selectionStart, field.selectionEnd, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}
