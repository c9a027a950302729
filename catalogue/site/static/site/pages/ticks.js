/* A word before leaving the work list with ticks that are not saved, and which steps were unfolded: the buttons
   "I read ..." ask about the others. Everything works without this; then they ask about all that are folded. */

const form = document.getElementById("read");
let isUnsaved = false;

/* Words that were unfolded stay so for as long as this tab is open; changed words are others. */
function openedWords() {
  try {
    return JSON.parse(sessionStorage.getItem("opened-steps")) || [];
  } catch {
    return [];
  }
}

function noteOpened(fold) {
  const words = fold.textContent;
  const known = openedWords();
  if (!known.includes(words)) {
    try {
      sessionStorage.setItem("opened-steps", JSON.stringify([...known, words]));
    } catch {
      /* Nothing is kept here: the buttons ask once more. */
    }
  }
  const field = document.createElement("input");
  field.type = "hidden";
  field.name = "opened";
  field.value = fold.closest("tr").id.slice(1);
  form.append(field);
}

function watchFolds() {
  const known = openedWords();
  for (const fold of document.querySelectorAll(".work-whole")) {
    if (known.includes(fold.textContent)) {
      noteOpened(fold);
    } else {
      fold.addEventListener("toggle", () => noteOpened(fold), { once: true });
    }
  }
}

if (form) {
  watchFolds();
  document.addEventListener("change", function (event) {
    isUnsaved = isUnsaved || event.target.form === form;
  });
  form.addEventListener("submit", function () {
    isUnsaved = false;
  });
  window.addEventListener("beforeunload", function (event) {
    if (isUnsaved) {
      event.preventDefault();
    }
  });
}
