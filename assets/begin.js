/* begin: the one place where the scripts and Dash meet.
 *
 * The page loads this module last; it names the functions that Dash's clientside callbacks call and only then starts
 * Dash's renderer, so that no callback comes before the function it is for.
 */
import * as bridge from "./bridge.js";
import * as page from "./page.js";

const { draw, sketch, tell } = page;
window.dash_clientside = Object.assign(window.dash_clientside || {}, { page: { draw, sketch, tell } });
window.renderer = new window.DashRenderer();

export { bridge, page };
