/* The lines of the sheet as typed: what differs from what is saved, what each gesture changed, and what is sent.
   A line is never changed in place, so that a state is a list of lines and undoing is taking the list before. */

const FIELDS = ["label", "kind", "source"];
export const FIRST_SIZE = FIELDS.length;

export function fieldOf(column) {
  return column < FIRST_SIZE ? FIELDS[column] : String(column - FIRST_SIZE);
}
export function columnOf(field) {
  return FIELDS.includes(field) ? FIELDS.indexOf(field) : Number(field) + FIRST_SIZE;
}
export function idOf(part, name) {
  return part + ":" + name;
}
function sameOrder(one, other) {
  return (
    one.length === other.length &&
    one.every(function (id, at) {
      return id === other[at];
    })
  );
}
export function byId(lines) {
  return new Map(
    lines.map(function (line) {
      return [line.id, line];
    }),
  );
}

/* A cell typed anew; a number makes its value a list, a formula takes the place of numbers typed before. */
export function withCell(line, column, text, saved) {
  const cells = line.cells.slice();
  cells[column] = text;
  if (line.part === "values" && column >= FIRST_SIZE) {
    cells[2] = "list";
  }
  if (line.part === "values" && column === 2 && text && text !== "list") {
    for (let at = FIRST_SIZE; at < cells.length; at += 1) {
      cells[at] = saved ? saved.cells[at] : "";
    }
  }
  return Object.assign({}, line, { cells: cells });
}

export function changesOf(saved, lines) {
  const known = byId(saved);
  const now = byId(lines);
  const batch = { changes: [], added: [], deleted: [], order: {} };
  lines.forEach(function (line) {
    const before = known.get(line.id);
    const fields = {};
    line.cells.forEach(function (text, column) {
      if (before && before.cells[column] !== text) {
        batch.changes.push({
          part: line.part,
          name: line.name,
          field: fieldOf(column),
          was: before.cells[column],
          text: text,
        });
      }
      if (!before && text) {
        fields[fieldOf(column)] = text;
      }
    });
    if (!before) {
      batch.added.push({ part: line.part, id: line.name, fields: fields });
    }
  });
  saved.forEach(function (line) {
    if (!now.has(line.id)) {
      batch.deleted.push({ part: line.part, name: line.name });
    }
  });
  new Set(
    lines.map(function (line) {
      return line.part;
    }),
  ).forEach(function (part) {
    const stood = saved
      .filter(function (line) {
        return line.part === part && now.has(line.id);
      })
      .map(function (line) {
        return line.id;
      });
    const stand = lines.filter(function (line) {
      return line.part === part;
    });
    const fresh = stand
      .filter(function (line) {
        return !known.has(line.id);
      })
      .map(function (line) {
        return line.id;
      });
    const ids = stand.map(function (line) {
      return line.id;
    });
    if (!sameOrder(stood.concat(fresh), ids)) {
      batch.order[part] = stand.map(function (line) {
        return line.name;
      });
    }
  });
  return batch;
}

export function isEmpty(batch) {
  return (
    !batch.changes.length && !batch.added.length && !batch.deleted.length && !Object.keys(batch.order).length
  );
}

/* Lay a kept batch over the lines as saved; what stood there when it was typed is kept for the comparison. */
export function withBatch(saved, batch, width) {
  const base = byId(saved);
  const gone = new Set(
    batch.deleted.map(function (one) {
      return idOf(one.part, one.name);
    }),
  );
  let lines = saved.filter(function (line) {
    return !gone.has(line.id);
  });
  batch.changes.forEach(function (one) {
    const id = idOf(one.part, one.name);
    const column = columnOf(one.field);
    const set = function (line, text) {
      const cells = line.cells.slice();
      cells[column] = text;
      return Object.assign({}, line, { cells: cells });
    };
    if (!base.has(id)) {
      return;
    }
    base.set(id, set(base.get(id), one.was));
    lines = lines.map(function (line) {
      return line.id === id ? set(line, one.text) : line;
    });
  });
  batch.added.forEach(function (one) {
    const cells = Array(width).fill("");
    Object.keys(one.fields).forEach(function (field) {
      cells[columnOf(field)] = one.fields[field];
    });
    lines = insertedLast(lines, { id: idOf(one.part, one.id), part: one.part, name: one.id, cells: cells });
  });
  Object.keys(batch.order).forEach(function (part) {
    const wanted = batch.order[part];
    let of = lines.filter(function (line) {
      return line.part === part;
    });
    of = of.toSorted(function (one, other) {
      return wanted.indexOf(one.name) - wanted.indexOf(other.name);
    });
    lines = lines.map(function (line) {
      return line.part === part ? of.shift() : line;
    });
  });
  return {
    saved: saved.map(function (line) {
      return base.get(line.id);
    }),
    lines: lines,
  };
}

export function insertedLast(lines, line) {
  const places = lines.map(function (one) {
    return one.part;
  });
  const at = places.includes(line.part) ? places.lastIndexOf(line.part) + 1 : lines.length;
  return lines.slice(0, at).concat([line], lines.slice(at));
}

/* Rows of a spreadsheet as text; a quoted cell may hold tabs, line breaks and doubled quotes. */
export function readBlock(text) {
  const rows = [[]];
  const found = text
    .replace(/\r\n?/g, "\n")
    .replace(/\n$/, "")
    .matchAll(/(?:"((?:[^"]|"")*)"|([^\t\n]*))(\t|\n|$)/g);
  for (const one of found) {
    rows[rows.length - 1].push(
      (one[1] === undefined ? one[2] : one[1].replace(/""/g, '"').replace(/\s*\n\s*/g, " ")).trim(),
    );
    if (one[3] === "") {
      break;
    }
    if (one[3] === "\n") {
      rows.push([]);
    }
  }
  return rows;
}

export function writeBlock(rows) {
  return rows
    .map(function (row) {
      return row
        .map(function (text) {
          return /[\t\n"]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text;
        })
        .join("\t");
    })
    .join("\n");
}
