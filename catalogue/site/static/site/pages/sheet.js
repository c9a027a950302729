/* A row copied from a spreadsheet is pasted across the fields of a list. */
"use strict";
(function () {
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
