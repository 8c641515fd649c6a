// Whoever signs out may leave the browser to others: what they typed and did not send goes.
"use strict";
document.getElementById("signout").addEventListener("submit", () => {
  try {
    for (const key of Object.keys(localStorage)) {
      if (key.startsWith("mastworth.draft.")) localStorage.removeItem(key);
    }
  } catch { /* nothing is kept then */ }
});
