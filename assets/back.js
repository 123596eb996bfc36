/* back: whether the page's server answers, and waiting until it does.
 *
 *   isAlive() -> Promise<bool>    back() -> Promise, kept once the server answers again
 *   isAway(answer)                an answer that only says that nobody is there, as a proxy gives it
 */

const RETRY_MS = 1000;

export const isAway = (answer) => answer.status >= 502 && answer.status <= 504;

export async function isAlive() {
  const answer = await fetch(location.href, { method: "HEAD", cache: "no-store" });
  return answer.status < 500;
}

export async function back() {
  for (;;) {
    await new Promise((then) => setTimeout(then, RETRY_MS));
    if (await isAlive().catch(() => false)) return;
  }
}
