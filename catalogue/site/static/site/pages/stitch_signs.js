// Symbols of a chart as buttons: each writes its words into the rows, where the cursor is.
const field = document.getElementById("id_rows");
const place = document.getElementById("sign-pens");

/** What stands between the words before the cursor and those that come: nothing at the start of a line. */
function joint(before, words) {
  if (words.startsWith(";") || before === "" || /[\n*]$/.test(before)) return "";
  return /[,;.] ?$/.test(before) ? (before.endsWith(" ") ? "" : " ") : ", ";
}

function write(words) {
  const before = field.value.slice(0, field.selectionStart);
  const after = field.value.slice(field.selectionEnd);
  const start = before + joint(before, words) + words;
  field.value = start + after;
  field.setSelectionRange(start.length, start.length);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

if (place && field) {
  field.closest("div").after(place);
  place.hidden = false;
  place.addEventListener("click", (event) => {
    const pen = event.target.closest("button");
    if (pen) write(pen.dataset.words);
  });
}
