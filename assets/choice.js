/* lumen.choice: a question that waits above everything until it is answered; one at a time, the newest counts.
 *
 *   lumen.choice.ask(text, [[label, act], ...])    act() is called when its button is pressed
 *   lumen.choice.gone()                            takes the question away
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});

  function gone() {
    const place = root.document.getElementById("choice");
    if (place) place.hidden = true;
  }

  function ask(text, answers) {
    const doc = root.document;
    const place = doc.getElementById("choice");
    if (!place) return;
    const words = doc.createElement("p");
    words.textContent = text;
    const buttons = answers.map(([label, act], at) => {
      const button = doc.createElement("button");
      Object.assign(button, { type: "button", className: at ? "lm-button" : "lm-button is-main", textContent: label });
      button.addEventListener("click", () => {
        gone();
        act();
      });
      return button;
    });
    place.replaceChildren(words, ...buttons);
    place.hidden = false;
  }

  lumen.choice = { ask, gone };
})(typeof window === "undefined" ? globalThis : window);
