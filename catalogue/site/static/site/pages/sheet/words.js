/* Names that a formula may say: those of the saved lines, and of lines typed since. */

import { byId } from "./lines.js";
import { data, named, state } from "./state.js";

/* Made from a label as the server makes it, until the server has said the name. */
function nameFrom(label) {
  const words = label
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "_")
    .replace(/^_|_$/g, "");
  const base = /^[a-z]/.test(words) ? words : "line_" + words;
  const isTaken = data.words.some((one) => one[0] === base);
  return words && !isTaken ? base.slice(0, 70) : "";
}

/* The name of a line; empty where it has none yet. */
export function nameOf(line) {
  return line.name.startsWith("+") ? named.get(line.name) || nameFrom(line.cells[0]) : line.name;
}

/* What a click on a line puts into a formula; empty where nothing can stand for it. */
export function referenceTo(line) {
  if (!line || line.part === "checks" || line.part === "yarn_sections") {
    return "";
  }
  const name = nameOf(line);
  return name && line.part === "fabrics" ? name + ".stitches" : name;
}

/* Words to complete from: the label shown, the name put in, what it is. */
export function wordsNow() {
  const known = byId(state.saved);
  const typed = state.lines.filter((line) => !known.has(line.id) && referenceTo(line));
  const made = typed.flatMap(function (line) {
    const name = nameOf(line);
    const label = line.cells[0];
    return line.part === "fabrics"
      ? ["stitches", "rows"].map((way) => [name + "." + way, label + ", " + way, way + " per length"])
      : [[name, label, "not saved yet"]];
  });
  return made.concat(data.words);
}
