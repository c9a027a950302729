/* A small table of fields grows: when its last row is filled in, an empty one follows. Without this, each save
   adds some. */

function rowsOf(table) {
  return table.tBodies[0].rows;
}

function addRow(table) {
  const place = rowsOf(table).length;
  const made = rowsOf(table)[place - 1].cloneNode(true);
  made.querySelector("th").textContent = place + 1;
  made.querySelectorAll("input, select").forEach(function (field) {
    field.name = field.name.replace(/-\d+-(\d+)$/, "-" + place + "-$1");
    field.setAttribute("aria-label", field.getAttribute("aria-label").replace(/\d+$/, place + 1));
    if (field.tagName === "SELECT") {
      field.selectedIndex = 0;
    } else {
      field.value = "";
    }
  });
  table.tBodies[0].append(made);
}

/* Add rows until there is one for the field of this name, such as outline-7-0. */
export function growTo(form, name) {
  const [, rows, place] = name.match(/^(.+)-(\d+)-\d+$/) || [];
  const table = rows && form.querySelector('table[data-rows="' + rows + '"]');
  const missing = table ? Number(place) + 1 - rowsOf(table).length : 0;
  for (let added = 0; added < missing; added += 1) {
    addRow(table);
  }
}

document.addEventListener("input", function (event) {
  const table = event.target.closest("table[data-rows]");
  if (table && rowsOf(table)[rowsOf(table).length - 1].contains(event.target)) {
    addRow(table);
  }
});
