/* latest: ask a slow answerer about a fast-changing question; at most one question is on its way, the newest waits.
 *
 *   latest(send, {onAnswer(answer, question), onError(error, question)}) -> {ask(question), cancel(), busy()}
 *       send(question, signal) -> Promise. cancel() forgets what waits and what is on its way: no answer comes after it.
 */

/**
 * @param {(question: any, signal?: AbortSignal) => any} send
 * @param {{onAnswer?: (answer: any, question: any) => void, onError?: (error: any, question: any) => void}} heard
 */
export function latest(send, { onAnswer = () => {}, onError = () => {} } = {}) {
  let waiting = null;
  let going = null;

  function go(question) {
    const mine = { stop: typeof AbortController === "undefined" ? null : new AbortController() };
    going = mine;
    Promise.resolve()
      .then(() => send(question, mine.stop ? mine.stop.signal : undefined))
      .then(
        (answer) => going === mine && onAnswer(answer, question),
        (error) => going === mine && onError(error, question)
      )
      .finally(() => {
        if (going !== mine) return;
        going = null;
        const next = waiting;
        waiting = null;
        if (next) go(next.question);
      });
  }

  return {
    ask(question) {
      if (going) waiting = { question };
      else go(question);
    },
    cancel() {
      waiting = null;
      const was = going;
      going = null;
      if (was?.stop) was.stop.abort();
    },
    busy: () => going !== null,
  };
};
