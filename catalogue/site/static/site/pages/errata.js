// Keys for going through open errata: the buttons do the same without this file.
"use strict";
const rows = [...document.querySelectorAll("tr.triage")];
const hint = document.querySelector(".keys");
if (hint && rows.length) hint.hidden = false;

function go(step) {
  const at = rows.indexOf(document.activeElement.closest("tr.triage"));
  const next = rows[Math.min(rows.length - 1, Math.max(0, at < 0 ? 0 : at + step))];
  next.focus();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || !rows.length) return;
  if (event.target.closest("input, select, textarea")) return;
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    go(event.key === "ArrowDown" ? 1 : -1);
    return;
  }
  const row = document.activeElement.closest("tr.triage");
  if (!row) return;
  if (event.key === "Enter" && event.target === row) row.querySelector("a").click();
  const button = row.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (button) button.click();
});
