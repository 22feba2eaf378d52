// Small conveniences. Every page works without this file.
"use strict";

(() => {
  // The what-if slider answers as it moves. One question is under way at a
  // time; the newest place of the slider is asked for next.
  for (const form of document.querySelectorAll("form[data-live]")) {
    const part = form.parentElement.querySelector(".what-if-part");
    let busy = false;
    let again = false;
    const ask = async () => {
      if (busy) {
        again = true;
        return;
      }
      busy = true;
      try {
        const query = new URLSearchParams(new FormData(form));
        const answer = await fetch(`${form.dataset.live}?${query}`);
        if (answer.ok) {
          part.innerHTML = await answer.text();
        }
      } catch {
        // The button still works.
      }
      busy = false;
      if (again) {
        again = false;
        ask();
      }
    };
    form.addEventListener("input", ask);
    form.querySelector("button").hidden = true;
  }

  // A form is sent once, even when the button is pressed twice.
  for (const form of document.querySelectorAll("form[method=post]")) {
    form.addEventListener("submit", (event) => {
      if (form.dataset.sent) {
        event.preventDefault();
      }
      form.dataset.sent = "yes";
    });
  }
  window.addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) {
      delete form.dataset.sent;
    }
  });

  // Choosing a role searches at once.
  for (const form of document.querySelectorAll("form.search")) {
    form.addEventListener("change", (event) => {
      if (event.target.type === "radio") {
        form.requestSubmit();
      }
    });
  }

  // Paper shows what is folded, also where style alone cannot unfold it.
  let folded = [];
  window.addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll("details:not([open]):not([name])")];
    for (const part of folded) part.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const part of folded) part.open = false;
  });
})();
