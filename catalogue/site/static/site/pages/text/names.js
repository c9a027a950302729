/* What is offered in a step: names after an opening brace, blocks after three colons. */

import { depthOf } from "./blocks.js";
import { data, isTitle, lineOf } from "./lines.js";

const BRACE = /(?:^|[^{])\{([A-Za-z][^{}|\n]*|)$/;
const COLONS = /(?:^|\n) *:::( ?)([^\n]*)$/;

/* What was typed of a block; null where the colons close the one that is open. */
function block(before) {
  const found = COLONS.exec(before);
  const closes = found && !found[1] && depthOf(before.slice(0, found.index)) > 0;
  return found && !closes ? found[2] : null;
}

const WAY = {
  first: true,
  typed: function (before) {
    const brace = BRACE.exec(before);
    return brace ? brace[1] : block(before);
  },
  offers: function (before) {
    return BRACE.test(before) ? data.references : data.blocks;
  },
  written: function (name, before, after) {
    if (BRACE.test(before)) {
      return name + (after.startsWith("}") ? "" : "}");
    }
    return (before.endsWith(":::") ? " " : "") + name + "\n\n:::";
  },
  taken: function (field, written) {
    const isBlock = written.endsWith(":::");
    const place = isBlock ? field.selectionEnd - 4 : field.selectionEnd + (written.endsWith("}") ? 0 : 1);
    field.setSelectionRange(place, place);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  },
};

export function offerIn(field) {
  if (isTitle(lineOf(field))) {
    window.SheetWords.close();
  } else {
    window.SheetWords.attach(field, data.references, WAY);
  }
}

export function isForList(event) {
  return !isTitle(lineOf(event.target)) && window.SheetWords.key(event);
}

export function isOffering() {
  return document.getElementById("sheet-words") !== null;
}

export function closeList() {
  window.SheetWords.close();
}

/* A brace at the caret with the list of names open. */
export function offerValues(field) {
  field.focus();
  field.setRangeText("{", field.selectionStart, field.selectionEnd, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}
