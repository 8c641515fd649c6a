// Loads a record's page again as soon as all of it is worked out.
"use strict";
{
  const waiting = document.getElementById("waiting");
  if (waiting) {
    const address = waiting.dataset.whole;
    fetch(address, { method: "HEAD", credentials: "same-origin" }).then((answer) => {
      if (answer.ok) location.replace(address);
    }).catch(() => { /* the link beside it does the same */ });
  }
}
