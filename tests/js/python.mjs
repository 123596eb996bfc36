// Asks the project's own Python, so that script and server can be held against each other.
import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../", import.meta.url));

/** What `script` prints as JSON when it is given `input` as JSON; null when no Python here can import the project. */
export function python(script, input) {
  for (const command of [process.env.PYTHON, ".venv/bin/python", "python3"].filter(Boolean)) {
    try {
      execFileSync(command, ["-c", "import pydantic, numpy, lumen"], { cwd: root, stdio: "ignore" });
    } catch {
      continue;
    }
    const out = execFileSync(command, ["-c", script], { cwd: root, input: JSON.stringify(input), maxBuffer: 2e7, stdio: ["pipe", "pipe", "inherit"] });
    return JSON.parse(out);
  }
  return null;
}
