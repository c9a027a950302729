// The grid of colours as cells to click, or to walk with arrows and set with letters. The typed field holds it:
// without this file the field alone does.
const MOST_CELLS = 4000;
const FRAME = "|";
const field = document.getElementById("id_grid");
const rows = document.getElementById("id_rows");
const place = document.getElementById("grid-cells");
const { colours, letters } = JSON.parse(place.dataset.colours);
let pen = letters[0];
let at = { row: 0, column: 0 };

/** The typed lines, the highest first, each as its letters and the places of its marks. */
function typedLines() {
  return field.value
    .split("\n")
    .map((line) => line.replace(/\s/g, "").toUpperCase())
    .filter(Boolean);
}

function lettersOf(line) {
  return [...line].filter((sign) => sign !== FRAME);
}

/** Where a cell stands in its line, marks counted. */
function placeInLine(line, column) {
  const places = [...line].map((sign, index) => [sign, index]).filter(([sign]) => sign !== FRAME);
  return places[column][1];
}

function write(lines) {
  field.value = lines.join("\n");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function setCell(row, column, letter) {
  const lines = typedLines();
  const where = placeInLine(lines[row], column);
  if (lines[row][where] === letter) return;
  lines[row] = lines[row].slice(0, where) + letter + lines[row].slice(where + 1);
  write(lines);
}

function numberField(name, least) {
  const number = Number.parseInt(document.getElementById(name).value, 10);
  return Number.isNaN(number) ? least : Math.min(200, Math.max(least, number));
}

/** One more row on top: as wide as the others, or as wide as the multiple and its edge stitches. */
function addRow() {
  const lines = typedLines();
  const multiple = numberField("id_multiple", 1);
  const plus = numberField("id_plus", 0);
  const ground = letters[0];
  const first = plus
    ? FRAME + ground.repeat(multiple) + FRAME + ground.repeat(plus)
    : ground.repeat(multiple);
  const row = lines.length ? lines[0].replace(/[^|]/g, ground) : first;
  at = { row: 0, column: 0 };
  write([row, ...lines]);
}

function dress(cell, letter) {
  const colour = colours[letter];
  cell.textContent = letter;
  cell.style.background = colour ? colour.fill : "";
  cell.style.color = colour ? colour.ink : "";
}

function cellFor(lines, row, column) {
  const cell = document.createElement("td");
  const letter = lettersOf(lines[row])[column];
  cell.setAttribute("role", "gridcell");
  cell.setAttribute("aria-label", `Row ${lines.length - row}, cell ${column + 1}: ${letter}`);
  cell.tabIndex = row === at.row && column === at.column ? 0 : -1;
  cell.dataset.row = row;
  cell.dataset.column = column;
  const before = lines[row][placeInLine(lines[row], column) - 1] === FRAME;
  const after = lines[row][placeInLine(lines[row], column) + 1] === FRAME;
  cell.classList.toggle("framed-before", before);
  cell.classList.toggle("framed-after", after);
  dress(cell, letter);
  return cell;
}

function show() {
  const lines = typedLines();
  const table = place.querySelector("table");
  // A pattern of rows in words has no grid.
  place.hidden = !lines.length && rows.value.trim() !== "";
  const hadFocus = table.contains(document.activeElement);
  const cells = lines.reduce((sum, line) => sum + lettersOf(line).length, 0);
  place.querySelector(".grid-too-large").hidden = cells <= MOST_CELLS;
  const shown = cells > MOST_CELLS ? [] : lines;
  at.row = Math.max(0, Math.min(at.row, shown.length - 1));
  if (shown.length) at.column = Math.max(0, Math.min(at.column, lettersOf(shown[at.row]).length - 1));
  table.replaceChildren(
    ...shown.map((line, row) => {
      const made = document.createElement("tr");
      made.setAttribute("role", "row");
      made.append(...lettersOf(line).map((_, column) => cellFor(lines, row, column)));
      return made;
    }),
  );
  place.querySelector(".region").hidden = !shown.length;
  if (hadFocus) focusCell();
}

function focusCell() {
  const cell = place.querySelector(`[data-row="${at.row}"][data-column="${at.column}"]`);
  if (cell) cell.focus();
}

function goTo(row, column) {
  const lines = typedLines();
  const old = place.querySelector('[tabindex="0"][data-row]');
  if (old) old.tabIndex = -1;
  at.row = Math.max(0, Math.min(row, lines.length - 1));
  at.column = Math.max(0, Math.min(column, lettersOf(lines[at.row]).length - 1));
  const cell = place.querySelector(`[data-row="${at.row}"][data-column="${at.column}"]`);
  cell.tabIndex = 0;
  cell.focus();
}

const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || !event.target.dataset.row) return;
  const key = event.key;
  if (STEPS[key]) {
    goTo(at.row + STEPS[key][0], at.column + STEPS[key][1]);
  } else if (key === "Home" || key === "End") {
    goTo(at.row, key === "Home" ? 0 : Infinity);
  } else if (key === "Enter" || key === " ") {
    setCell(at.row, at.column, pen);
  } else if (/^[a-z]$/i.test(key)) {
    setCell(at.row, at.column, key.toUpperCase());
  } else {
    return;
  }
  event.preventDefault();
}

function cellAt(event) {
  const cell = event.target.closest("[data-row]");
  return cell && [Number(cell.dataset.row), Number(cell.dataset.column)];
}

function showPens() {
  const pens = place.querySelector(".grid-pens");
  pens.replaceChildren(
    ...letters.map((letter) => {
      const button = document.createElement("button");
      button.type = "button";
      button.setAttribute("aria-pressed", letter === pen);
      button.setAttribute("aria-label", `Colour ${letter}`);
      dress(button, letter);
      button.addEventListener("click", () => {
        pen = letter;
        for (const one of pens.children) one.setAttribute("aria-pressed", one === button);
      });
      return button;
    }),
  );
}

place.addEventListener("keydown", onKey);
place.querySelector("table").addEventListener("click", (event) => {
  const cell = cellAt(event);
  if (!cell) return;
  goTo(...cell);
  setCell(...cell, pen);
});
// A mouse that is drawn over cells with its button down sets them all.
place.querySelector("table").addEventListener("pointerover", (event) => {
  const cell = event.pointerType === "mouse" && event.buttons === 1 && cellAt(event);
  if (cell) setCell(...cell, pen);
});
place.querySelector(".grid-add").addEventListener("click", addRow);
for (const one of [field, rows]) one.addEventListener("input", show);
field.closest("div").after(place);
showPens();
show();
