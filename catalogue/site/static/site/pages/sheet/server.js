/* What the server is asked: what would change, and to save; and what it answers. */

import { byId, changesOf, columnOf, fieldOf, FIRST_SIZE, idOf } from "./lines.js";
import { askNoMore, changed, take } from "./history.js";
import { showAll } from "./places.js";
import { data, draftKey, fresh, named, rows, savedKey, state } from "./state.js";
import { tell } from "./told.js";
import { finish } from "./typing.js";

let asked = 0;

export async function send(address) {
  const batch = changesOf(state.saved, state.lines);
  batch.revision = state.revision;
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: {
        "Content-Type": "application/json",
        "X-CSRFToken": document.querySelector("[name=csrfmiddlewaretoken]").value,
      },
      body: JSON.stringify(batch),
    });
    return { status: answer.status, told: await answer.json() };
  } catch {
    return {
      status: 0,
      told: { says: "The studio's server cannot be reached: nothing is lost, try again." },
    };
  }
}

/* Ask what would change; with `isTyped` false what was asked before is of no interest any more. */
export async function preview(isTyped) {
  asked += 1;
  if (!isTyped) {
    return;
  }
  const mine = asked;
  const answer = await send(data.addresses.grid_preview);
  if (mine !== asked) {
    return;
  }
  takeAnswer(answer);
}

/* The server names the first cell of a line that it refuses; sizes where the same is typed are refused with it. */
function alike(id, field) {
  const line = state.lines.find((one) => one.id === id);
  const column = columnOf(field);
  if (!line || column < FIRST_SIZE) {
    return [field];
  }
  return line.cells.flatMap((text, at) =>
    at >= FIRST_SIZE && text === line.cells[column] ? [fieldOf(at)] : [],
  );
}

export function takeAnswer(answer) {
  const told = answer.told;
  const refusals = new Map(
    (told.refused || []).flatMap(function (one) {
      const id = idOf(one.part, one.name);
      return alike(id, one.field).map((field) => [id + "/" + field, one.says]);
    }),
  );
  state.refused = refusals.size || state.refused.size ? refusals : state.refused;
  const places = new Map();
  (told.refused || []).concat(told.new_findings || []).forEach(function (one) {
    const id = idOf(one.part, one.name);
    const line = one.column ? state.lines.find((known) => known.id === id) : null;
    if (line) {
      places.set(id, { text: line.cells[2], column: one.column });
    }
  });
  if (places.size) {
    state.places = new Map([...state.places, ...places]);
  }
  if (told.lines) {
    const names = Object.entries(told.names || {}).map(function (pair) {
      return [pair[1], pair[0]];
    });
    const asTyped = new Map(names);
    Object.entries(told.names || {}).forEach(([typed, name]) => named.set(typed, name));
    fresh.clear();
    told.lines.forEach(function (one) {
      const id = idOf(one.part, asTyped.get(one.name) || one.name);
      fresh.set(rows.has(id) ? id : idOf(one.part, one.name), one.cells);
    });
  }
  showAll();
  tell(told.says || told.sentence, told.refused || [], told);
}

export async function save() {
  finish(true);
  askNoMore();
  asked += 1;
  const batch = changesOf(state.saved, state.lines);
  const answer = await send(data.addresses.grid_save);
  if (answer.status !== 200) {
    if (answer.told.rows) {
      rebase(answer.told);
    }
    takeAnswer(answer);
    return;
  }
  window.localStorage.removeItem(draftKey);
  window.sessionStorage.removeItem(savedKey + ":redo");
  window.sessionStorage.setItem(savedKey, JSON.stringify(batch));
  if (state.to) {
    window.sessionStorage.setItem(draftKey + ":at", JSON.stringify({ from: state.from, to: state.to }));
  }
  state.past = [];
  state.lines = state.saved;
  window.location.reload();
}

export function cellsNow(one) {
  return [one.label, one.kind, one.source].concat(one.cells);
}

export function rebase(told) {
  const now = new Map(
    told.rows.map(function (one) {
      return [idOf(one.part, one.name), one];
    }),
  );
  const mine = byId(state.saved);
  const clash = new Set(
    (told.conflicts || []).map(function (one) {
      return idOf(one.part, one.name) + "/" + one.field;
    }),
  );
  state.lines = state.lines.map(function (line) {
    const other = now.get(line.id);
    const before = mine.get(line.id);
    if (!other || !before) {
      return line;
    }
    return Object.assign({}, line, {
      cells: line.cells.map(function (text, at) {
        return text === before.cells[at] ? cellsNow(other)[at] : text;
      }),
    });
  });
  state.saved = state.saved.map(function (line) {
    const other = now.get(line.id);
    if (!other) {
      return line;
    }
    return Object.assign({}, line, {
      cells: cellsNow(other).map(function (text, at) {
        return clash.has(line.id + "/" + fieldOf(at)) ? line.cells[at] : text;
      }),
    });
  });
  state.revision = told.revision;
}

export function settle(conflict, keepsMine) {
  const id = idOf(conflict.part, conflict.name);
  const column = columnOf(conflict.field);
  const set = function (line, text) {
    const cells = line.cells.slice();
    cells[column] = text;
    return Object.assign({}, line, { cells: cells });
  };
  state.saved = state.saved.map(function (line) {
    return line.id === id ? set(line, conflict.theirs) : line;
  });
  if (!keepsMine) {
    state.lines = state.lines.map(function (line) {
      return line.id === id ? set(line, conflict.theirs) : line;
    });
  }
  state.past = [];
  changed();
}

export function discard() {
  state.past.push({ lines: state.lines, from: state.from, to: state.to });
  state.lines = state.saved;
  changed();
}

/* A value is as it was saved again, but for its label and kind; a step like others, which undo brings back. */
export function takeBack(name) {
  const saved = byId(state.saved).get(idOf("values", name));
  take(
    state.lines.map(function (line) {
      return saved && line.id === saved.id
        ? Object.assign({}, line, { cells: line.cells.slice(0, 2).concat(saved.cells.slice(2)) })
        : line;
    }),
  );
}
