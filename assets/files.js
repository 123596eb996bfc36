/* files: a plan in and out of the browser as one small JSON file.
 *
 *   save(text, title)          offers a download "<title>.json"
 *   read(file) -> Promise of the plan's object; rejects with a sentence
 *   accept(element, {onPlan, onTrouble}) -> stop(): a file let go over element is read
 */

const MOST_BYTES = 5e6;

export function fileName(title) {
  const plain = String(title || "plan").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
  return `${plain || "plan"}.json`;
}

export function save(text, title) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = fileName(title);
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

export async function read(file) {
  if (file.size > MOST_BYTES) throw new Error(`${file.name} is too large for a plan (over 5 MB)`);
  let plan;
  try {
    plan = JSON.parse(await file.text());
  } catch {
    throw new Error(`${file.name} is not a plan: it is not JSON`);
  }
  if (!plan || typeof plan !== "object" || !String(plan.format || "").startsWith("lumen-plan/")) {
    throw new Error(`${file.name} is not a plan: its format must begin with "lumen-plan/"`);
  }
  return plan;
}

export function accept(element, { onPlan, onTrouble }) {
  const holdsFile = (event) => event.dataTransfer && [...event.dataTransfer.types].includes("Files");
  const over = (event) => {
    if (holdsFile(event)) event.preventDefault();
  };
  const drop = (event) => {
    if (!holdsFile(event)) return;
    const file = [...event.dataTransfer.files].find((each) => each.name.toLowerCase().endsWith(".json"));
    if (!file) return; // another kind of file is for whoever asks for it
    event.preventDefault();
    read(file).then(onPlan, (error) => onTrouble(error.message));
  };
  element.addEventListener("dragover", over);
  element.addEventListener("drop", drop);
  return () => {
    element.removeEventListener("dragover", over);
    element.removeEventListener("drop", drop);
  };
}
