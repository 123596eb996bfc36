/* watch: says when a request of a certain kind comes to nothing. Pure of the page.
 *
 *   watch(fetch, {isWanted(url, options) -> bool, onFailure(status)}) -> a fetch to be used in its place
 *     status is what the server answered, or 0 when the connection was cut
 */

export const watch = (fetch, { isWanted, onFailure }) =>
  async function watched(url, options) {
    const asked = fetch(url, options);
    if (!isWanted(url, options)) return asked;
    try {
      const answer = await asked;
      if (!answer.ok) onFailure(answer.status);
      return answer;
    } catch (error) {
      onFailure(0);
      throw error;
    }
  };
