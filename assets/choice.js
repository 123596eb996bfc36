/* choice: a question that waits above everything until it is answered; one at a time, the newest counts.
 *
 *   ask(text, [[label, act], ...])    act() is called when its button is pressed
 *   gone()                            takes the question away
 */

export function gone() {
  const place = document.getElementById("choice");
  if (place) place.hidden = true;
}

export function ask(text, answers) {
  const doc = document;
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
