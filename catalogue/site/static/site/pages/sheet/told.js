/* What is not saved yet, and what it would change. */

import { byId, FIRST_SIZE, idOf } from "./lines.js";
import { choose } from "./places.js";
import { button, changes, element, sizes, state, table, unsaved } from "./state.js";
import { allRows } from "./table.js";

let acts = null;

/* What the buttons do: `save`, `discard`, `settle` with a conflict and whether one's own is kept, and `takeBack` what
   was typed into a value. */
export function begin(given) {
  acts = given;
}

/* Edits that were left unsaved, above the grid: nobody types over them unawares. */
export function tellLeft() {
  const says = "You left this unsaved: " + (leftLabels() || "lines that are deleted or moved") + ".";
  const keep = button("Save", acts.save);
  keep.className = "btn btn-sm btn-primary";
  unsaved.replaceChildren(element("strong", says), keep, button("Discard", acts.discard));
  unsaved.hidden = false;
}

function leftLabels() {
  const saved = byId(state.saved);
  const labels = state.lines
    .filter((line) => !saved.has(line.id) || saved.get(line.id).cells.join("\n") !== line.cells.join("\n"))
    .map((line) => "“" + (line.cells[0] || "New line") + "”");
  return labels.slice(0, 3).join(", ") + (labels.length > 3 ? ", …" : "");
}

export function tell(words, refusals, told) {
  const bar = element("div", "", "actions");
  const keep = button("Save", acts.save);
  keep.className = "btn btn-sm btn-primary";
  bar.append(keep, button("Discard", acts.discard), element("strong", words));
  const parts = [bar];
  if (table.querySelector(".finding")) {
    parts.push(element("p", "Notes in the grid are those of the last save.", "small quiet"));
  }
  const list = element("ul", "", "sheet-told");
  refusals.forEach(function (one) {
    list.append(element("li", labelOf(one) + ": " + one.says, "is-refused"));
  });
  ((told && told.conflicts) || []).forEach(function (one) {
    const item = element(
      "li",
      one.label +
        ", " +
        fieldWords(one.field) +
        ": yours is “" +
        one.yours +
        "”, theirs is “" +
        one.theirs +
        "”. ",
    );
    item.append(
      button("Keep mine", function () {
        acts.settle(one, true);
      }),
      button("Take theirs", function () {
        acts.settle(one, false);
      }),
    );
    list.append(item);
  });
  ((told && told.notes) || []).forEach(function (says) {
    list.append(element("li", says));
  });
  const instead = element("div", "", "actions");
  ((told && told.instead) || []).forEach(function (one) {
    instead.append(
      button("Take back " + one.over_label + ", go to " + one.label, function () {
        const sizesTyped = columnsTyped();
        acts.takeBack(one.over);
        const row = allRows().findIndex(
          (found) => found.dataset.name === one.name && found.dataset.part === "values",
        );
        choose({ row: row, column: sizesTyped[0] }, { row: row, column: sizesTyped[1] });
      }),
    );
  });
  ((told && told.new_findings) || []).forEach(function (one) {
    const weight = one.weight === "stop" ? "Stop: " : "";
    list.append(element("li", weight + one.place + ": " + one.says));
  });
  ((told && told.gone_findings) || []).forEach(function (one) {
    list.append(element("li", "No longer noticed: " + one.place + ": " + one.says));
  });
  ((told && told.lines) || []).slice(0, 40).forEach(function (one) {
    const moved = one.cells
      .map(function (text, at) {
        return [sizes[at], one.before ? one.before[at] : "", text];
      })
      .filter(function (cell) {
        return cell[1] !== cell[2];
      });
    if (moved.length) {
      list.append(
        element(
          "li",
          one.label +
            ": " +
            moved
              .map(function (cell) {
                return cell[0] + " " + (cell[1] ? cell[1] + " → " : "") + cell[2];
              })
              .join(", "),
        ),
      );
    }
  });
  ((told && told.moves) || []).forEach(function (says) {
    list.append(element("li", says));
  });
  if (instead.children.length) {
    parts.push(instead);
  }
  if (list.children.length) {
    parts.push(list);
  }
  changes.replaceChildren.apply(changes, parts);
}

/* The sizes that were typed over last: they stay chosen in the line that is gone to. */
function columnsTyped() {
  const typed = state.past[state.past.length - 1] || {};
  return [typed.from, typed.to].map((spot) => Math.max(FIRST_SIZE, spot ? spot.column : FIRST_SIZE));
}

export function labelOf(one) {
  const line = byId(state.lines).get(idOf(one.part, one.name));
  return ((line && line.cells[0]) || "New line") + ", " + fieldWords(one.field);
}

export function fieldWords(field) {
  return { label: "label", kind: "kind", source: "formula" }[field] || "size " + sizes[Number(field)];
}
