/* What all modules of the sheet share: its parts on the page, what the server told, and where things stand. */

import { FIRST_SIZE } from "./lines.js";

export const table = document.getElementById("sheet-grid");
export const data = JSON.parse(document.getElementById("grid-data").textContent);
export const changes = document.getElementById("changes");
export const unsaved = document.getElementById("unsaved");
export const panel = document.getElementById("panel");
export const tools = document.getElementById("sheet-tools");
export const find = document.getElementById("sheet-find");
export const width = table.tHead.rows[0].cells.length;
export const sizes = Array.from(table.tHead.rows[0].cells)
  .slice(FIRST_SIZE)
  .map((cell) => cell.textContent);
export const draftKey = "sheet:" + data.slug;
export const savedKey = "sheet-last:" + data.slug;

/* The row of each line; the cells that the server worked out anew; the names of lines that are not saved yet. */
export const rows = new Map();
export const fresh = new Map();
export const named = new Map();

/* `saved` and `lines` are lists of lines as stored and as typed, `past` and `future` such lists, each with the range
   that was typed over; `from` and `to` are the corners of the range, `editing` the cell that is typed into, `began` where a run of Tab began; `places` says
   where in the formula of a line its error is (from 1). */
export const state = {
  revision: data.revision,
  refused: new Map(),
  saved: [],
  lines: [],
  past: [],
  future: [],
  from: null,
  to: null,
  editing: null,
  began: null,
  places: new Map(),
};

export function element(name, words, look) {
  const made = document.createElement(name);
  if (words) {
    made.textContent = words;
  }
  if (look) {
    made.className = look;
  }
  return made;
}

export function button(words, act) {
  const made = element("button", words, "btn btn-sm btn-outline-secondary");
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}
