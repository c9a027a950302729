/* The grid by keyboard: arrows and Tab move, Enter edits the line beside the grid, Escape leaves; the panel says
   where a number comes from. Rows copied from a spreadsheet are pasted across the fields of a list. Everything works
   without this, on pages of its own. */
"use strict";
(function () {
  const panel = document.getElementById("panel");
  const known = new Map();
  let waiting = 0;

  function cellsOf(row) {
    return Array.from(row.querySelectorAll("td.number"));
  }

  function focusCell(cell) {
    if (!cell) {
      return false;
    }
    cell.tabIndex = -1;
    cell.focus();
    return true;
  }

  function rowBeside(row, step) {
    const rows = Array.from(document.querySelectorAll(".sheet-grid tbody tr"));
    return rows[rows.indexOf(row) + step];
  }

  function move(cell, down, right) {
    const row = cell.parentElement;
    const cells = cellsOf(row);
    let place = cells.indexOf(cell) + right;
    let target = down ? rowBeside(row, down) : row;
    if (!down && place >= cells.length) {
      target = rowBeside(row, 1);
      place = 0;
    }
    if (!down && place < 0) {
      target = rowBeside(row, -1);
      place = cells.length - 1;
    }
    return target ? focusCell(cellsOf(target)[place]) : false;
  }

  function address(cell, kind) {
    const name = cell.parentElement.dataset.name;
    return name ? cell.closest("table").dataset[kind].replace("NAME", name) : "";
  }

  function show(html, place) {
    panel.innerHTML = html;
    const row = panel.querySelector('tr[data-size="' + place + '"]');
    if (row) {
      row.setAttribute("aria-current", "true");
      row.scrollIntoView({ block: "nearest" });
    }
  }

  async function explain(cell) {
    const url = address(cell, "origin");
    const place = cellsOf(cell.parentElement).indexOf(cell);
    if (!url || panel.dataset.from) {
      return;
    }
    if (!known.has(url)) {
      const answer = await fetch(url, { headers: { "X-Requested-With": "fetch" } });
      if (!answer.ok) {
        return;
      }
      known.set(url, await answer.text());
    }
    if (panel.dataset.from) {
      return;
    }
    if (document.activeElement === cell || cell.matches(":hover")) {
      show(known.get(url), place);
    }
  }

  function explainSoon(cell) {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(function () {
      explain(cell);
    }, 150);
  }

  function mayLeave() {
    return (
      !panel.dataset.typed ||
      window.confirm("Leave the line that you are editing? What you typed there is not saved.")
    );
  }

  async function edit(cell) {
    const url = address(cell, "edit");
    if (!mayLeave()) {
      return;
    }
    delete panel.dataset.typed;
    if (!url) {
      window.location.assign(cell.parentElement.querySelector("th a").href);
      return;
    }
    window.clearTimeout(waiting);
    panel.dataset.from = cell.parentElement.id;
    const answer = await fetch(url, { headers: { "HX-Request": "true" } });
    if (!answer.ok) {
      window.location.assign(url);
      return;
    }
    panel.innerHTML = await answer.text();
    panel.querySelector("#entry-form").action = url;
    if (window.htmx) {
      window.htmx.process(panel);
    }
    const field = panel.querySelector("#id_formula") || panel.querySelector("#id_label");
    if (field) {
      field.focus();
      field.setSelectionRange(field.value.length, field.value.length);
    }
  }

  document.querySelectorAll(".sheet-grid").forEach(function (table) {
    const first = table.querySelector("tbody td.number");
    if (first) {
      first.tabIndex = 0;
    }
    table.addEventListener("keydown", function (event) {
      const cell = event.target.closest("td.number");
      if (!cell) {
        return;
      }
      const steps = { ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1] };
      if (steps[event.key] && move(cell, steps[event.key][0], steps[event.key][1])) {
        event.preventDefault();
      }
      if (event.key === "Tab" && move(cell, 0, event.shiftKey ? -1 : 1)) {
        event.preventDefault();
      }
      if (event.key === "Enter") {
        event.preventDefault();
        edit(cell);
      }
    });
    table.addEventListener("focusin", function (event) {
      const cell = event.target.closest("td.number");
      if (cell) {
        explainSoon(cell);
      }
    });
    table.addEventListener("mouseover", function (event) {
      const cell = event.target.closest("td.number");
      if (cell && panel && !panel.contains(document.activeElement)) {
        explainSoon(cell);
      }
    });
    table.addEventListener("click", function (event) {
      const cell = event.target.closest("td.number");
      if (cell) {
        focusCell(cell);
      }
    });
  });

  document.addEventListener("keydown", function (event) {
    if (event.key !== "Escape" || !panel) {
      return;
    }
    if (!panel.dataset.from) {
      panel.tabIndex = -1;
      panel.focus();
      return;
    }
    const row = document.getElementById(panel.dataset.from);
    if (!mayLeave()) {
      return;
    }
    panel.replaceChildren();
    delete panel.dataset.from;
    delete panel.dataset.typed;
    focusCell(row && cellsOf(row)[0]);
  });

  if (panel) {
    panel.addEventListener("input", function () {
      panel.dataset.typed = "yes";
    });
  }

  document.addEventListener("paste", function (event) {
    const rowOfFields = event.target.closest && event.target.closest("[data-paste-row]");
    const text = event.clipboardData ? event.clipboardData.getData("text/plain") : "";
    const figures = text.replace(/\r?\n$/, "").split(/\t|\r?\n/);
    if (!rowOfFields || figures.length < 2) {
      return;
    }
    event.preventDefault();
    const fields = Array.from(rowOfFields.querySelectorAll("input[type=text]"));
    const start = fields.indexOf(event.target);
    figures.forEach(function (figure, place) {
      if (fields[start + place]) {
        fields[start + place].value = figure.trim();
      }
    });
    event.target.dispatchEvent(new Event("input", { bubbles: true }));
  });
})();
