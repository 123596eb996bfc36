// Loads scripts of assets/ as the page does: in the order of their names, into one global "window".
import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { readFileSync } from "node:fs";

globalThis.window = globalThis;

const folder = new URL("../../assets/", import.meta.url);
const outside = new Set(["bridge.js", "page.js"]); // they need a page

for (const name of readdirSync(folder).filter((each) => each.endsWith(".js") && !outside.has(each)).sort()) {
  await import(new URL(name, folder));
}

export const lumen = globalThis.lumen;
export const plainPair = () => JSON.parse(readFileSync(fileURLToPath(new URL("../../scenarios/plain-pair.json", import.meta.url)), "utf8"));
