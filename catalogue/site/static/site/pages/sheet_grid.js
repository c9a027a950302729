/* The sheet edited in place: keys, ranges, the clipboard, lines, undoing; what would change is asked of the server,
   everything else is answered here. Without this the sheet is a plain table with links to forms. */
"use strict";
(function () {
  const L = window.SheetLines;
  const table = document.getElementById("sheet-grid");
  const source = document.getElementById("grid-data");
  if (!table || !source) {
    return;
  }
  const data = JSON.parse(source.textContent);
  const changes = document.getElementById("changes");
  const panel = document.getElementById("panel");
  const tools = document.getElementById("sheet-tools");
  const find = document.getElementById("sheet-find");
  const width = table.tHead.rows[0].cells.length;
  const sizes = Array.from(table.tHead.rows[0].cells)
    .slice(L.FIRST_SIZE)
    .map(function (cell) {
      return cell.textContent;
    });
  const kindWords = new Map(data.kinds);
  const draftKey = "sheet:" + data.slug;
  const savedKey = "sheet-last:" + data.slug;
  const rows = new Map();
  const fresh = new Map();
  const origins = new Map();
  let revision = data.revision;
  let refused = new Map();
  let saved = [];
  let lines = [];
  let past = [];
  let future = [];
  let from = null;
  let to = null;
  let editing = null;
  let serial = 0;
  let previewTimer = 0;
  let asked = 0;
  let marked = [];
  let dragging = false;

  function element(name, words, look) {
    const made = document.createElement(name);
    if (words) {
      made.textContent = words;
    }
    if (look) {
      made.className = look;
    }
    return made;
  }

  function button(words, act) {
    const made = element("button", words, "btn btn-sm btn-outline-secondary");
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  /* -- reading the table ------------------------------------------------------------------------------- */

  function readLine(row) {
    const cells = Array.from(row.cells).map(function (cell, column) {
      if (column === 0) {
        return cell.querySelector("a").textContent.trim();
      }
      return column === 1 ? cell.dataset.kind : cell.textContent.trim();
    });
    return {
      id: L.idOf(row.dataset.part, row.dataset.name),
      part: row.dataset.part,
      name: row.dataset.name,
      cells: cells,
    };
  }

  function readTable() {
    Array.from(table.tBodies).forEach(function (body) {
      Array.from(body.rows)
        .slice(1)
        .forEach(function (row) {
          const line = readLine(row);
          rows.set(line.id, row);
          saved.push(line);
        });
      body.append(lastRow(body.dataset.part));
    });
    lines = saved.slice();
  }

  function emptyRow(part) {
    const row = element("tr");
    row.dataset.part = part;
    const head = element("th");
    head.scope = "row";
    row.append(head);
    for (let at = 1; at < width; at += 1) {
      row.append(element("td", "", at === 1 ? "small" : at === 2 ? "sheet-source" : "number"));
    }
    return row;
  }

  function lastRow(part) {
    const row = emptyRow(part);
    row.className = "sheet-last";
    row.dataset.last = "yes";
    row.cells[0].append(element("span", "New line", "quiet"));
    return row;
  }

  /* -- showing lines ------------------------------------------------------------------------------------- */

  function savedLine(line) {
    return saved.find(function (one) {
      return one.id === line.id;
    });
  }

  function shownText(line, column, before) {
    const text = line.cells[column];
    const told = fresh.get(line.id);
    return before && before.cells[column] !== text
      ? text
      : told && column >= L.FIRST_SIZE
        ? told[column - L.FIRST_SIZE]
        : text;
  }

  function writeCell(line, column, row, before) {
    const cell = row.cells[column];
    const text = shownText(line, column, before);
    if (column === 0) {
      const link = cell.querySelector("a");
      const holder =
        link || cell.querySelector("span") || cell.insertBefore(element("span"), cell.firstChild);
      if (holder.textContent.trim() !== text) {
        holder.textContent = text;
      }
    } else {
      const words = column === 1 ? kindWords.get(text) || text : text;
      if (cell.textContent !== words) {
        cell.textContent = words;
      }
    }
    const isNew = !before || before.cells[column] !== line.cells[column];
    cell.classList.toggle("is-typed", isNew);
    cell.classList.toggle("is-moved", !isNew && text !== line.cells[column]);
    const says = refused.get(line.id + "/" + L.fieldOf(column));
    cell.classList.toggle("is-refused", Boolean(says));
    if (says) {
      cell.title = says;
      cell.setAttribute("aria-invalid", "true");
    } else {
      cell.removeAttribute("title");
      cell.removeAttribute("aria-invalid");
    }
  }

  function show() {
    const known = L.byId(saved);
    const now = L.byId(lines);
    rows.forEach(function (row, id) {
      if (!now.has(id)) {
        row.remove();
      }
    });
    Array.from(table.tBodies).forEach(function (body) {
      let at = body.rows[0];
      lines.forEach(function (line) {
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
        if (row.shown !== line || row.told !== fresh.get(line.id) || row.refusals !== refused) {
          for (let column = 0; column < width; column += 1) {
            writeCell(line, column, row, known.get(line.id));
          }
          row.shown = line;
          row.told = fresh.get(line.id);
          row.refusals = refused;
        }
      });
    });
    mark();
  }

  function allRows() {
    return Array.from(table.querySelectorAll("tbody tr:not(.sheet-section)"));
  }

  function lineOf(row) {
    return lines.find(function (line) {
      return rows.get(line.id) === row;
    });
  }

  /* -- states -------------------------------------------------------------------------------------------- */

  function take(next) {
    past.push(lines);
    future = [];
    lines = next;
    changed();
  }

  function changed() {
    show();
    const batch = L.changesOf(saved, lines);
    if (L.isEmpty(batch)) {
      window.localStorage.removeItem(draftKey);
      fresh.clear();
      refused = refused.size ? new Map() : refused;
      asked += 1;
      window.clearTimeout(previewTimer);
      changes.replaceChildren();
      show();
      return;
    }
    window.localStorage.setItem(draftKey, JSON.stringify({ revision: revision, batch: batch }));
    if (!changes.firstChild) {
      tell("Not saved yet.", []);
    }
    window.clearTimeout(previewTimer);
    previewTimer = window.setTimeout(preview, 250);
  }

  function undo() {
    if (past.length) {
      future.push(lines);
      lines = past.pop();
      changed();
      return;
    }
    const form = document.querySelector("form[action='" + data.addresses.undo + "']");
    if (form) {
      const last = window.sessionStorage.getItem(savedKey);
      if (last) {
        window.sessionStorage.setItem(savedKey + ":redo", last);
        window.sessionStorage.removeItem(savedKey);
      }
      form.requestSubmit();
    }
  }

  function redo() {
    if (future.length) {
      past.push(lines);
      lines = future.pop();
      changed();
      return;
    }
    const again = window.sessionStorage.getItem(savedKey + ":redo");
    if (again) {
      window.sessionStorage.removeItem(savedKey + ":redo");
      take(L.withBatch(saved, JSON.parse(again), width).lines);
    }
  }

  /* -- the server ---------------------------------------------------------------------------------------- */

  async function send(address) {
    const batch = L.changesOf(saved, lines);
    batch.revision = revision;
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

  async function preview() {
    asked += 1;
    const mine = asked;
    const answer = await send(data.addresses.grid_preview);
    if (mine !== asked) {
      return;
    }
    takeAnswer(answer);
  }

  function takeAnswer(answer) {
    const told = answer.told;
    const refusals = new Map(
      (told.refused || []).map(function (one) {
        return [L.idOf(one.part, one.name) + "/" + one.field, one.says];
      }),
    );
    refused = refusals.size || refused.size ? refusals : refused;
    if (told.lines) {
      const names = Object.entries(told.names || {}).map(function (pair) {
        return [pair[1], pair[0]];
      });
      const asTyped = new Map(names);
      fresh.clear();
      told.lines.forEach(function (one) {
        const id = L.idOf(one.part, asTyped.get(one.name) || one.name);
        fresh.set(rows.has(id) ? id : L.idOf(one.part, one.name), one.cells);
      });
    }
    show();
    tell(told.says || told.sentence, told.refused || [], told);
  }

  async function save() {
    finish(true);
    window.clearTimeout(previewTimer);
    asked += 1;
    const batch = L.changesOf(saved, lines);
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
    if (to) {
      window.sessionStorage.setItem(draftKey + ":at", JSON.stringify(to));
    }
    past = [];
    lines = saved;
    window.location.reload();
  }

  function cellsNow(one) {
    return [one.label, one.kind, one.source].concat(one.cells);
  }

  /* Another edit came first: what others changed stands in the cells that were not typed here. */
  function rebase(told) {
    const now = new Map(
      told.rows.map(function (one) {
        return [L.idOf(one.part, one.name), one];
      }),
    );
    const mine = L.byId(saved);
    const clash = new Set(
      (told.conflicts || []).map(function (one) {
        return L.idOf(one.part, one.name) + "/" + one.field;
      }),
    );
    lines = lines.map(function (line) {
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
    saved = saved.map(function (line) {
      const other = now.get(line.id);
      if (!other) {
        return line;
      }
      return Object.assign({}, line, {
        cells: cellsNow(other).map(function (text, at) {
          return clash.has(line.id + "/" + L.fieldOf(at)) ? line.cells[at] : text;
        }),
      });
    });
    revision = told.revision;
  }

  function settle(conflict, keepsMine) {
    const id = L.idOf(conflict.part, conflict.name);
    const column = L.columnOf(conflict.field);
    const set = function (line, text) {
      const cells = line.cells.slice();
      cells[column] = text;
      return Object.assign({}, line, { cells: cells });
    };
    saved = saved.map(function (line) {
      return line.id === id ? set(line, conflict.theirs) : line;
    });
    if (!keepsMine) {
      lines = lines.map(function (line) {
        return line.id === id ? set(line, conflict.theirs) : line;
      });
    }
    past = [];
    changed();
  }

  function discard() {
    past.push(lines);
    lines = saved;
    changed();
  }

  /* -- what is not saved yet ----------------------------------------------------------------------------- */

  function tell(words, refusals, told) {
    const bar = element("div", "", "actions");
    const keep = button("Save", save);
    keep.className = "btn btn-sm btn-primary";
    bar.append(keep, button("Discard", discard), element("strong", words));
    const parts = [bar];
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
          settle(one, true);
        }),
        button("Take theirs", function () {
          settle(one, false);
        }),
      );
      list.append(item);
    });
    ((told && told.new_findings) || []).forEach(function (one) {
      list.append(element("li", one.place + ": " + one.says));
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
    if (list.children.length) {
      parts.push(list);
    }
    changes.replaceChildren.apply(changes, parts);
  }

  function labelOf(one) {
    const line = L.byId(lines).get(L.idOf(one.part, one.name));
    return ((line && line.cells[0]) || "New line") + ", " + fieldWords(one.field);
  }

  function fieldWords(field) {
    return { label: "label", kind: "kind", source: "formula" }[field] || "size " + sizes[Number(field)];
  }

  /* -- where one is -------------------------------------------------------------------------------------- */

  function cellAt(spot) {
    const row = allRows()[spot.row];
    return row ? row.cells[spot.column] : null;
  }

  function spotOf(cell) {
    return { row: allRows().indexOf(cell.parentElement), column: cell.cellIndex };
  }

  function go(row, column, extend) {
    const last = allRows().length - 1;
    to = { row: Math.max(0, Math.min(last, row)), column: Math.max(0, Math.min(width - 1, column)) };
    if (!extend || !from) {
      from = to;
    }
    mark();
    const cell = cellAt(to);
    if (!cell) {
      return;
    }
    const before = table.querySelector("[tabindex='0']");
    if (before) {
      before.tabIndex = -1;
    }
    cell.tabIndex = 0;
    cell.focus({ preventScroll: true });
    const head = table.tHead.getBoundingClientRect();
    const dock = changes.parentElement.getBoundingClientRect();
    const box = cell.getBoundingClientRect();
    if (box.top < head.bottom) {
      window.scrollBy(0, box.top - head.bottom);
    }
    if (box.bottom > dock.top && dock.top > head.bottom) {
      window.scrollBy(0, box.bottom - dock.top + 4);
    }
    if (box.left < table.rows[0].cells[0].getBoundingClientRect().right && to.column) {
      table.parentElement.scrollLeft -= table.rows[0].cells[0].getBoundingClientRect().right - box.left;
    }
    cell.scrollIntoView({ block: "nearest", inline: "nearest" });
    explainSoon();
  }

  function range() {
    return {
      top: Math.min(from.row, to.row),
      bottom: Math.max(from.row, to.row),
      left: Math.min(from.column, to.column),
      right: Math.max(from.column, to.column),
    };
  }

  function mark() {
    marked.forEach(function (cell) {
      cell.classList.remove("in-range");
      cell.removeAttribute("aria-selected");
    });
    marked = [];
    if (!from || !to) {
      return;
    }
    const all = allRows();
    const box = range();
    for (let row = box.top; row <= box.bottom && row < all.length; row += 1) {
      for (let column = box.left; column <= box.right; column += 1) {
        const cell = all[row].cells[column];
        cell.classList.add("in-range");
        if (cell.tagName === "TD") {
          cell.setAttribute("aria-selected", "true");
        }
        marked.push(cell);
      }
    }
  }

  function explainSoon() {
    window.clearTimeout(explainSoon.waiting);
    explainSoon.waiting = window.setTimeout(explain, 150);
  }

  async function explain() {
    const row = to && allRows()[to.row];
    if (!row || row.dataset.part !== "values" || !row.dataset.name || editing) {
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
    if (editing || allRows()[to.row] !== row) {
      return;
    }
    panel.innerHTML = origins.get(address);
    const here = panel.querySelector('tr[data-size="' + (to.column - L.FIRST_SIZE) + '"]');
    if (here) {
      here.setAttribute("aria-current", "true");
      panel.scrollTop = here.offsetTop - panel.offsetTop - 40;
    }
  }

  /* -- typing into cells --------------------------------------------------------------------------------- */

  /* Set texts by spot in one gesture; a spot in the empty last line, or below a part's lines, makes a line. */
  function setTexts(spots) {
    const all = allRows();
    const known = L.byId(saved);
    let next = lines.slice();
    const made = new Map();
    spots.forEach(function (spot) {
      const row = all[spot.row];
      let line = row && !spot.makes ? lineOf(row) : null;
      if (!line) {
        const place = spot.part + "/" + spot.row + "/" + (spot.makes || "");
        if (!made.has(place)) {
          serial += 1;
          const name = "+" + Date.now().toString(36) + serial;
          const added = {
            id: L.idOf(spot.part, name),
            part: spot.part,
            name: name,
            cells: Array(width).fill(""),
          };
          next = L.insertedLast(next, added);
          made.set(place, added.id);
        }
        line = { id: made.get(place) };
      }
      const at = next.findIndex(function (one) {
        return one.id === line.id;
      });
      const before = known.get(line.id);
      if (next[at].cells[spot.column] !== spot.text) {
        next[at] = L.withCell(next[at], spot.column, spot.text, before);
      }
    });
    if (
      next.length !== lines.length ||
      next.some(function (line, at) {
        return line !== lines[at];
      })
    ) {
      take(next);
    }
  }

  function textAt(spot) {
    const row = allRows()[spot.row];
    const line = row && lineOf(row);
    return line ? shownText(line, spot.column, savedLine(line)) : "";
  }

  function edit(initial) {
    const cell = cellAt(to);
    if (!cell || editing) {
      return;
    }
    const row = cell.parentElement;
    const isKind = to.column === 1;
    if (isKind && row.dataset.part !== "values") {
      return;
    }
    const input = element(isKind ? "select" : "input", "", "sheet-input");
    const line = lineOf(row);
    const title =
      ((line && line.cells[0]) || "New line") + ", " + table.tHead.rows[0].cells[to.column].textContent;
    input.setAttribute("aria-label", title);
    if (isKind) {
      data.kinds.forEach(function (pair) {
        const choice = element("option", pair[0] === pair[1] ? pair[0] : pair[0] + " (" + pair[1] + ")");
        choice.value = pair[0];
        input.append(choice);
      });
    } else {
      input.type = "text";
      input.autocomplete = "off";
    }
    const text = initial === undefined ? textAt(to) : initial;
    input.value = to.column === 2 && text === "list" ? "" : text;
    editing = {
      cell: cell,
      spot: to,
      input: input,
      kept: Array.from(cell.childNodes),
      was: textAt(to),
      part: row.dataset.part,
    };
    cell.removeAttribute("tabindex");
    cell.replaceChildren(input);
    input.focus();
    if (!isKind) {
      input.setSelectionRange(input.value.length, input.value.length);
    }
    if (to.column === 2 && ["values", "checks"].includes(row.dataset.part)) {
      window.SheetWords.attach(input, data.words);
    }
    input.addEventListener("blur", function () {
      if (editing && editing.input === input) {
        finish(true);
      }
    });
  }

  function finish(keeps) {
    if (!editing) {
      return;
    }
    const done = editing;
    editing = null;
    const text = done.input.value.trim();
    window.SheetWords.close();
    done.cell.tabIndex = 0;
    done.cell.replaceChildren.apply(done.cell, done.kept);
    const wasShown = done.was === "list" && done.spot.column === 2 ? "" : done.was;
    if (keeps && text !== wasShown) {
      setTexts([{ row: done.spot.row, column: done.spot.column, text: text, part: done.part }]);
    }
  }

  function editKey(event) {
    if (window.SheetWords.key(event)) {
      return;
    }
    const steps = { Enter: [event.shiftKey ? -1 : 1, 0], Tab: [0, event.shiftKey ? -1 : 1] };
    if (steps[event.key]) {
      event.preventDefault();
      const spot = editing.spot;
      finish(true);
      go(spot.row + steps[event.key][0], spot.column + steps[event.key][1]);
    } else if (event.key === "Escape") {
      event.preventDefault();
      const spot = editing.spot;
      finish(false);
      go(spot.row, spot.column);
    }
    event.stopPropagation();
  }

  /* -- ranges -------------------------------------------------------------------------------------------- */

  function eachInRange(text) {
    const box = range();
    const all = allRows();
    const spots = [];
    for (let row = box.top; row <= box.bottom; row += 1) {
      for (let column = box.left; column <= box.right; column += 1) {
        if (!all[row].dataset.last) {
          spots.push({ row: row, column: column, text: text(row, column), part: all[row].dataset.part });
        }
      }
    }
    return spots;
  }

  function block() {
    const box = range();
    const found = [];
    for (let row = box.top; row <= box.bottom; row += 1) {
      const cells = [];
      for (let column = box.left; column <= box.right; column += 1) {
        cells.push(textAt({ row: row, column: column }));
      }
      found.push(cells);
    }
    return L.writeBlock(found);
  }

  function clear() {
    setTexts(
      eachInRange(function (row, column) {
        return column < 2 ? textAt({ row: row, column: column }) : "";
      }),
    );
  }

  function fill(down) {
    const box = range();
    setTexts(
      eachInRange(function (row, column) {
        return textAt(down ? { row: box.top, column: column } : { row: row, column: box.left });
      }).filter(function (spot) {
        return down ? spot.row > box.top : spot.column > box.left;
      }),
    );
  }

  function paste(text) {
    const copied = L.readBlock(text);
    const box = range();
    const all = allRows();
    const part = all[box.top].dataset.part;
    const spots = [];
    const single = copied.length === 1 && copied[0].length === 1;
    if (single && (box.bottom > box.top || box.right > box.left)) {
      setTexts(
        eachInRange(function () {
          return copied[0][0];
        }),
      );
      return;
    }
    let ended = Boolean(all[box.top].dataset.last);
    copied.forEach(function (cells, down) {
      const row = all[box.top + down];
      ended = ended || !row || row.dataset.part !== part || Boolean(row.dataset.last);
      cells.forEach(function (cell, right) {
        const column = box.left + right;
        const words = column === 1 ? kindFrom(cell) : cell;
        if (column < width && !(ended && !cell)) {
          spots.push({
            row: box.top + (ended ? 0 : down),
            column: column,
            text: words,
            part: part,
            makes: ended ? "paste" + down : "",
          });
        }
      });
    });
    setTexts(
      spots.toSorted(function (one, other) {
        return (one.column === 2) - (other.column === 2);
      }),
    );
  }

  function kindFrom(text) {
    const found = data.kinds.find(function (pair) {
      return pair.includes(text);
    });
    return found ? found[0] : text;
  }

  /* -- lines --------------------------------------------------------------------------------------------- */

  function addAfter(line, cells) {
    serial += 1;
    const name = "+" + Date.now().toString(36) + serial;
    const at = lines.indexOf(line) + 1;
    take(
      lines
        .slice(0, at)
        .concat(
          [{ id: L.idOf(line.part, name), part: line.part, name: name, cells: cells }],
          lines.slice(at),
        ),
    );
    go(to.row + 1, 0);
  }

  function move(by) {
    const line = lineOf(allRows()[to.row]);
    const at = lines.indexOf(line);
    const other = lines[at + by];
    if (!line || !other || other.part !== line.part) {
      return;
    }
    const next = lines.slice();
    next[at] = other;
    next[at + by] = line;
    take(next);
    go(to.row + by, to.column);
  }

  function removeLines() {
    const all = allRows();
    const box = range();
    const gone = new Set(all.slice(box.top, box.bottom + 1).map(lineOf));
    take(
      lines.filter(function (line) {
        return !gone.has(line);
      }),
    );
    go(box.top, to.column);
  }

  const acts = {
    undo: undo,
    redo: redo,
    insert: function () {
      const line = lineOf(allRows()[to.row]);
      if (line) {
        addAfter(line, Array(width).fill(""));
      }
    },
    duplicate: function () {
      const line = lineOf(allRows()[to.row]);
      if (line) {
        const cells = line.cells.map(function (text, at) {
          return at >= L.FIRST_SIZE && line.part === "values" && line.cells[2] !== "list" ? "" : text;
        });
        addAfter(line, cells);
      }
    },
    remove: removeLines,
    up: function () {
      move(-1);
    },
    down: function () {
      move(1);
    },
  };

  function searched(onwards) {
    const wanted = find.value.trim().toLowerCase();
    if (!wanted) {
      return;
    }
    const all = allRows();
    const start = to ? to.row + (onwards ? 1 : 0) : 0;
    for (let ahead = 0; ahead < all.length; ahead += 1) {
      const at = (start + ahead) % all.length;
      const line = lineOf(all[at]);
      if (line && (line.cells[0] + "\n" + line.name + "\n" + line.cells[2]).toLowerCase().includes(wanted)) {
        go(at, 0);
        find.focus();
        return;
      }
    }
  }

  /* -- gestures ------------------------------------------------------------------------------------------ */

  function key(event) {
    if (editing) {
      editKey(event);
      return;
    }
    const cell = event.target.closest("tbody th, tbody td");
    if (!cell || !to) {
      return;
    }
    const command = event.ctrlKey || event.metaKey;
    const steps = {
      ArrowDown: [1, 0],
      ArrowUp: [-1, 0],
      ArrowRight: [0, 1],
      ArrowLeft: [0, -1],
      PageDown: [20, 0],
      PageUp: [-20, 0],
    };
    const letter = event.key.toLowerCase();
    const commands = {
      z: event.shiftKey ? redo : undo,
      y: redo,
      d: function () {
        fill(true);
      },
      r: function () {
        fill(false);
      },
      s: save,
      f: function () {
        find.focus();
      },
      a: function () {
        from = { row: 0, column: 0 };
        go(allRows().length - 2, width - 1, true);
      },
    };
    let done = true;
    if (event.altKey && steps[event.key] && steps[event.key][0]) {
      move(steps[event.key][0]);
    } else if (steps[event.key]) {
      go(to.row + steps[event.key][0], to.column + steps[event.key][1], event.shiftKey);
    } else if (event.key === "Home") {
      go(command ? 0 : to.row, 0, event.shiftKey);
    } else if (event.key === "End") {
      go(command ? allRows().length - 1 : to.row, width - 1, event.shiftKey);
    } else if (event.key === "Tab") {
      done = step(event.shiftKey ? -1 : 1);
    } else if (event.key === "Enter" || event.key === "F2") {
      edit();
    } else if (event.key === "Delete" || event.key === "Backspace") {
      clear();
    } else if (event.key === "Escape") {
      panel.tabIndex = -1;
      panel.focus();
    } else if (command && commands[letter]) {
      commands[letter]();
    } else if (event.key.length === 1 && !command && !event.altKey) {
      edit(event.key);
    } else {
      done = false;
    }
    if (done) {
      event.preventDefault();
    }
  }

  /* Tab goes on from cell to cell; from the last one it leaves the grid, as elsewhere. */
  function step(right) {
    const place = to.row * width + to.column + right;
    if (place < 0 || place >= allRows().length * width) {
      return false;
    }
    go(Math.floor(place / width), place % width);
    return true;
  }

  function bind() {
    table.addEventListener("keydown", key);
    table.addEventListener("mousedown", function (event) {
      const cell = event.target.closest("tbody th[scope=row], tbody td");
      if (!cell || event.button !== 0 || (editing && editing.cell === cell) || event.target.closest("a")) {
        return;
      }
      const row = cell.parentElement;
      if (editing && editing.spot.column === 2 && row.dataset.name && !row.dataset.name.startsWith("+")) {
        event.preventDefault();
        window.SheetWords.put(
          editing.input,
          row.dataset.part === "fabrics" ? row.dataset.name + ".stitches" : row.dataset.name,
        );
        return;
      }
      finish(true);
      event.preventDefault();
      const spot = spotOf(cell);
      go(spot.row, spot.column, event.shiftKey);
      dragging = true;
    });
    table.addEventListener("mouseover", function (event) {
      const cell = dragging && event.target.closest("tbody th[scope=row], tbody td");
      if (cell) {
        const spot = spotOf(cell);
        go(spot.row, spot.column, true);
      }
    });
    window.addEventListener("mouseup", function () {
      dragging = false;
    });
    table.addEventListener("dblclick", function (event) {
      if (event.target.closest("tbody td, tbody th[scope=row]")) {
        edit();
      }
    });
    table.addEventListener("focusin", function (event) {
      const cell = event.target.closest("tbody th[scope=row], tbody td");
      if (cell && !to) {
        const spot = spotOf(cell);
        go(spot.row, spot.column);
      }
    });
    document.addEventListener("copy", function (event) {
      onClipboard(event, function () {
        event.clipboardData.setData("text/plain", block());
      });
    });
    document.addEventListener("cut", function (event) {
      onClipboard(event, function () {
        event.clipboardData.setData("text/plain", block());
        clear();
      });
    });
    document.addEventListener("paste", function (event) {
      onClipboard(event, function () {
        paste(event.clipboardData.getData("text/plain"));
      });
    });
    tools.addEventListener("mousedown", function (event) {
      if (event.target.closest("button")) {
        event.preventDefault();
      }
    });
    tools.addEventListener("click", function (event) {
      const wanted = event.target.closest("button");
      if (wanted && (to || ["undo", "redo"].includes(wanted.dataset.do))) {
        acts[wanted.dataset.do]();
      }
    });
    find.addEventListener("input", function () {
      searched(false);
    });
    find.addEventListener("keydown", function (event) {
      if (event.key === "Enter") {
        event.preventDefault();
        searched(true);
      }
      if (event.key === "Escape" && to) {
        event.preventDefault();
        go(to.row, to.column);
      }
    });
    window.addEventListener(
      "scroll",
      function () {
        const above = Math.max(0, -table.getBoundingClientRect().top);
        table.tHead.style.transform = above ? "translateY(" + above + "px)" : "";
      },
      { passive: true },
    );
  }

  function onClipboard(event, act) {
    if (editing || !to || !table.contains(document.activeElement)) {
      return;
    }
    event.preventDefault();
    act();
  }

  function restore() {
    const kept = window.localStorage.getItem(draftKey);
    if (kept) {
      const found = JSON.parse(kept);
      const laid = L.withBatch(saved, found.batch, width);
      saved = laid.saved;
      take(laid.lines);
    }
    const at = window.sessionStorage.getItem(draftKey + ":at");
    if (at) {
      window.sessionStorage.removeItem(draftKey + ":at");
      const spot = JSON.parse(at);
      go(spot.row, spot.column);
    }
  }

  readTable();
  table.setAttribute("role", "grid");
  table.setAttribute("aria-multiselectable", "true");
  tools.hidden = false;
  const first = table.querySelector("tbody td");
  if (first) {
    first.tabIndex = 0;
  }
  table.querySelectorAll("tbody a").forEach(function (link) {
    link.tabIndex = -1;
  });
  table.parentElement.removeAttribute("tabindex");
  bind();
  restore();
})();
