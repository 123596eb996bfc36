/* pointer: mouse, pen and touch on one element as gestures.
 *
 *   track(element, handlers) -> {stop(), cancel(), active()}
 *   handlers: press(event) -> a token for what is under the pointer (null: nothing)
 *             start(token, event), move(token, {dx, dy}, event), end(token, {dx, dy}, event), cancel(token)
 *             tap(token, event), pinch({scale, x, y, dx, dy}), wheel(event)
 *
 * dx, dy are always the whole way from the press, in pixels, so that nothing adds up wrong. A gesture begins after 4 px.
 * A second finger turns it into a pinch; the pointer is captured, so it may leave the element.
 */

export const THRESHOLD_PX = 4;

export function track(element, handlers) {
  const down = new Map(); // pointerId -> last [x, y]
  let gesture = null; // {id, token, x, y, started}
  let pinch = null;

  const call = (name, ...rest) => handlers[name]?.(...rest);

  function onDown(event) {
    if (event.button > 0) return;
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size === 2) {
      drop();
      const [[ax, ay], [bx, by]] = [...down.values()];
      pinch = { apart: Math.hypot(bx - ax, by - ay) || 1, x: (ax + bx) / 2, y: (ay + by) / 2 };
      call("pinchStart", { x: pinch.x, y: pinch.y });
      return;
    }
    if (down.size > 2) return;
    const token = call("press", event);
    gesture = { id: event.pointerId, token, x: event.clientX, y: event.clientY, started: false };
    if (element.setPointerCapture) {
      try {
        element.setPointerCapture(event.pointerId);
      } catch {
        /* the pointer is gone already */
      }
    }
  }

  function onMove(event) {
    if (down.has(event.pointerId)) down.set(event.pointerId, [event.clientX, event.clientY]);
    if (pinch && down.size >= 2) {
      const [[ax, ay], [bx, by]] = [...down.values()];
      const x = (ax + bx) / 2, y = (ay + by) / 2;
      call("pinch", { scale: (Math.hypot(bx - ax, by - ay) || 1) / pinch.apart, x: pinch.x, y: pinch.y, dx: x - pinch.x, dy: y - pinch.y });
      return;
    }
    if (!gesture || event.pointerId !== gesture.id) return;
    const dx = event.clientX - gesture.x, dy = event.clientY - gesture.y;
    if (!gesture.started) {
      if (Math.hypot(dx, dy) < THRESHOLD_PX) return;
      gesture.started = true;
      call("start", gesture.token, event);
    }
    call("move", gesture.token, { dx, dy }, event);
  }

  function onUp(event) {
    down.delete(event.pointerId);
    if (pinch) {
      if (down.size < 2) {
        pinch = null;
        call("pinchEnd");
      }
      return;
    }
    if (!gesture || event.pointerId !== gesture.id) return;
    const done = gesture;
    gesture = null;
    const dx = event.clientX - done.x, dy = event.clientY - done.y;
    if (done.started) call("end", done.token, { dx, dy }, event);
    else call("tap", done.token, event);
  }

  function drop() {
    const was = gesture;
    gesture = null;
    if (was?.started) call("cancel", was.token);
  }

  function onCancel(event) {
    down.delete(event.pointerId);
    if (down.size < 2) pinch = null;
    if (gesture && event.pointerId === gesture.id) drop();
  }

  function onWheel(event) {
    call("wheel", event);
  }

  const wired = [
    ["pointerdown", onDown], ["pointermove", onMove], ["pointerup", onUp], ["pointercancel", onCancel],
    ["lostpointercapture", (event) => gesture && event.pointerId === gesture.id && onCancel(event)],
  ];
  wired.forEach(([type, listener]) => element.addEventListener(type, listener));
  element.addEventListener("wheel", onWheel, { passive: false });

  return {
    stop() {
      wired.forEach(([type, listener]) => element.removeEventListener(type, listener));
      element.removeEventListener("wheel", onWheel);
    },
    cancel: drop,
    active: () => Boolean(gesture?.started),
  };
}
