/* Where the number under the cursor comes from, in the panel below the grid. */

import { FIRST_SIZE } from "./lines.js";
import { data, panel, state } from "./state.js";
import { allRows } from "./table.js";

const origins = new Map();
let waiting = 0;

export function explainSoon() {
  window.clearTimeout(waiting);
  waiting = window.setTimeout(explain, 150);
}

export async function explain() {
  const row = state.to && allRows()[state.to.row];
  if (!row || row.dataset.part !== "values" || !row.dataset.name || state.editing) {
    return;
  }
  const address = data.origin.replace("NAME", row.dataset.name);
  if (!origins.has(address)) {
    const answer = await fetch(address, { headers: { "X-Requested-With": "fetch" } }).catch(function () {
      return null;
    });
    if (!answer || !answer.ok) {
      return;
    }
    origins.set(address, await answer.text());
  }
  if (state.editing || allRows()[state.to.row] !== row) {
    return;
  }
  panel.innerHTML = origins.get(address);
  const here = panel.querySelector('tr[data-size="' + (state.to.column - FIRST_SIZE) + '"]');
  if (here) {
    here.setAttribute("aria-current", "true");
    panel.scrollTop = here.offsetTop - panel.offsetTop - 40;
    const trail = panel.querySelector("[data-trail]");
    trail.search = "?size=" + encodeURIComponent(here.querySelector("th").textContent.trim());
  }
}
