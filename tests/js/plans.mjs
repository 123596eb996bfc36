// Plans for tests, as they are written.
import { readFileSync } from "node:fs";

export const plainPair = () => JSON.parse(readFileSync(new URL("../../scenarios/plain-pair.json", import.meta.url), "utf8"));
