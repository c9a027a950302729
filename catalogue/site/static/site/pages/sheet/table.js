/* The table: its rows read and made, and shown with what is typed. */

import { byId, fieldOf, FIRST_SIZE, idOf } from "./lines.js";
import { data, element, fresh, rows, state, table, width } from "./state.js";

const kindWords = new Map(data.kinds);

export function readLine(row) {
  const cells = Array.from(row.cells).map(function (cell, column) {
    if (column === 0) {
      return cell.querySelector("a").textContent.trim();
    }
    return column === 1 ? cell.dataset.kind : cell.textContent.trim();
  });
  row.unit = row.cells[1].textContent.trim();
  return {
    id: idOf(row.dataset.part, row.dataset.name),
    part: row.dataset.part,
    name: row.dataset.name,
    cells: cells,
  };
}

/* Where the server marked an error in a formula. */
function readPlace(row, line) {
  const mark = row.cells[2].querySelector("mark");
  if (mark) {
    const before = mark.previousSibling ? mark.previousSibling.textContent.trimStart() : "";
    state.places.set(line.id, { text: line.cells[2], column: before.length + 1 });
  }
}

export function readTable() {
  Array.from(table.tBodies).forEach(function (body) {
    Array.from(body.rows)
      .slice(1)
      .forEach(function (row) {
        const line = readLine(row);
        readPlace(row, line);
        row.cells[0].prepend(grip());
        rows.set(line.id, row);
        state.saved.push(line);
      });
    body.append(lastRow(body.dataset.part));
  });
  state.lines = state.saved.slice();
}

/* What a line is dragged by; by keys it moves with Alt and the arrows. */
function grip() {
  const made = element("span", "", "sheet-grip");
  made.setAttribute("aria-hidden", "true");
  made.title = "Drag the line, or press Alt with an arrow key";
  return made;
}

export function emptyRow(part) {
  const row = element("tr");
  row.dataset.part = part;
  const head = element("th");
  head.scope = "row";
  head.append(grip());
  row.append(head);
  for (let at = 1; at < width; at += 1) {
    row.append(element("td", "", at === 1 ? "small" : at === 2 ? "sheet-source" : "number"));
  }
  return row;
}

export function lastRow(part) {
  const row = emptyRow(part);
  row.className = "sheet-last";
  row.dataset.last = "yes";
  row.cells[0].append(element("span", "New line", "quiet"));
  return row;
}

export function savedLine(line) {
  return state.saved.find(function (one) {
    return one.id === line.id;
  });
}

export function shownText(line, column, before) {
  const text = line.cells[column];
  const told = fresh.get(line.id);
  return before && before.cells[column] !== text
    ? text
    : told && column >= FIRST_SIZE
      ? told[column - FIRST_SIZE]
      : text;
}

export function writeCell(line, column, row, before) {
  const cell = row.cells[column];
  /* An answer of the server never takes away what is being typed; the cell is written when that has ended. */
  if (state.editing && state.editing.cell === cell) {
    return;
  }
  const text = shownText(line, column, before);
  if (column === 0) {
    const link = cell.querySelector("a");
    const holder = link || cell.querySelector("span:not(.sheet-grip)") || cell.appendChild(element("span"));
    if (holder.textContent.trim() !== text) {
      holder.textContent = text;
    }
  } else {
    /* A line without a kind of its own, such as a body measurement, keeps the unit that it came with. */
    const words = column === 1 ? kindWords.get(text) || text || row.unit || "" : text;
    const at = placeOfError(line, column);
    if (at !== null) {
      cell.replaceChildren(...markedFormula(text, at));
    } else if (cell.textContent !== words || cell.firstElementChild) {
      cell.textContent = words;
      cell.classList.toggle("fails", cell.classList.contains("number") && words.startsWith("■"));
    }
  }
  const isNew = !before || before.cells[column] !== line.cells[column];
  cell.classList.toggle("is-typed", isNew);
  cell.classList.toggle("is-moved", !isNew && text !== line.cells[column]);
  const says = state.refused.get(line.id + "/" + fieldOf(column));
  cell.classList.toggle("is-refused", Boolean(says));
  if (says) {
    cell.title = says;
    cell.setAttribute("aria-invalid", "true");
  } else {
    cell.removeAttribute("title");
    cell.removeAttribute("aria-invalid");
  }
}

export function show() {
  const known = byId(state.saved);
  const now = byId(state.lines);
  rows.forEach(function (row, id) {
    if (!now.has(id)) {
      row.remove();
    }
  });
  Array.from(table.tBodies).forEach(function (body) {
    let at = body.rows[0];
    state.lines.forEach(function (line) {
      if (line.part !== body.dataset.part) {
        return;
      }
      if (!rows.has(line.id)) {
        rows.set(line.id, emptyRow(line.part));
      }
      const row = rows.get(line.id);
      if (at.nextElementSibling !== row) {
        at.after(row);
      }
      at = row;
      if (
        row.shown !== line ||
        row.told !== fresh.get(line.id) ||
        row.refusals !== state.refused ||
        row.places !== state.places
      ) {
        for (let column = 0; column < width; column += 1) {
          writeCell(line, column, row, known.get(line.id));
        }
        row.shown = line;
        row.told = fresh.get(line.id);
        row.refusals = state.refused;
        row.places = state.places;
      }
    });
  });
}

/* Where the error in the formula of a line is, from 0; nothing where it has none, or was typed anew. */
export function placeOfError(line, column) {
  const place = line && column === 2 ? state.places.get(line.id) : null;
  return place && place.text === line.cells[2] ? place.column - 1 : null;
}

/* A formula with the word or sign marked that its error is about. */
function markedFormula(text, at) {
  const found = /^(?:[0-9.]+\s*[a-z]*|[A-Za-z_][\w.]*|\S)/.exec(text.slice(at));
  const end = at + (found ? found[0].length : 0);
  return [text.slice(0, at), element("mark", text.slice(at, end) || "…"), text.slice(end)];
}

export function allRows() {
  return Array.from(table.querySelectorAll("tbody tr:not(.sheet-section)"));
}

export function lineOf(row) {
  return state.lines.find(function (line) {
    return rows.get(line.id) === row;
  });
}
