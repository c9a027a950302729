/* What was typed and not saved is offered above its form again. */

function button(words, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "btn btn-secondary btn-sm";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

/* Offer it above a form; `at` says when it was typed, the two acts what either button does. */
export function offerAbove(form, at, takeUp, throwAway) {
  const note = document.createElement("div");
  note.className = "message";
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  words.textContent = "You typed here on " + at + " and did not save it.";
  note.append(
    words,
    button("Take it up", function () {
      note.remove();
      takeUp();
    }),
    " ",
    button("Throw it away", function () {
      note.remove();
      throwAway();
    }),
  );
  form.before(note);
}
