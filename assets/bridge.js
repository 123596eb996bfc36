/* lumen.bridge: what joins the drawings to the page's stores and its server.
 *
 * What the page (Dash) does:
 *   - gives elements attributes; they are found and filled on every show():
 *       data-lm-view="wall" | "above" | "lux" (with data-lm-grid, data-lm-title) | "legend"
 *       data-lm-thumb="<setup id>"      a small lit picture          data-lm-levels="<setup id>"  the setup's sliders
 *       data-live..., data-live-aim     numbers and states that follow the hand (see live.js)
 *   - calls dash_clientside.lumen.show(plan, study, fields, setup, selection, units, exposure, paint) from a clientside
 *     callback on those stores (arguments may be null; returns a stamp for a dummy Output)
 *   - has stores with these ids, written by set_props: "command" {name, id|ids, args, stamp}, "selection" [ids],
 *     "caution" index of the caution mark that was pressed, "history" {undo, redo, undoSteps, redoSteps},
 *     "trouble" {text, faults} (say it), "server" "here" | "lost". Leave out those it does not have: settings({stores: {...}})
 *   - its server callback on "command" must answer each command, done or refused, after the new plan was shown:
 *     dash_clientside.lumen.answered({stamp, faults}) with faults [{field, rule, value}] when it was refused
 *   - dash_clientside.lumen.undo(n), .redo(n) for its buttons; .theme("dark"|"light"); .send(command) for forms; .save(text, title)
 * POST /preview {plan (its text), command, setup, surfaces} -> {planes, eyes, fields}; 400 -> {faults}. At most one is on its way;
 * the newest waits.
 *
 *   lumen.bridge.show({...}), .command(cmd) -> stamp, .undo(), .redo(), .answered({stamp, faults}), .settings({...}), .views()
 *   lumen.bridge.flush(), .whenEmpty(ms) -> Promise<bool>   send what a hand has just let go; all commands are answered
 *   lumen.bridge.times   last times from pointer to number on screen [ms] (newest 300), for measuring
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});
  const doc = root.document;

  const settings = {
    previewUrl: "preview",
    stores: { command: "command", selection: "selection", caution: "caution", history: "history", trouble: "trouble", server: "server" },
    historyKey: "lumen-history",
    onRefused() {}, // (stamp, faults) nothing came of a command
    opened: false, // the plan on show came from a file that the server was started with
  };
  const shown = { plan: null, study: null, fields: null, ready: null, setup: null, selection: [], units: "cm", exposure: undefined, paint: "glow" };
  const views = new Map(); // element -> {kind, view}
  const times = [];
  let history = null;
  let restored = false;
  let leaving = false;
  const LASTING_BYTES = 60000;
  let started = false;
  const SETTLE_MS = 250;
  let settling = null;
  let stepped = null; // {stamp, from}: the undo or redo that is on its way, and the history before it
  let slide = null; // {setup, levels} while a level slider is in the hand
  let asked = 0;

  // The scripts load in the order of their names, so what other files make is made at first use.
  function once(make) {
    let made;
    return () => (made = made || make());
  }

  // ---- out to the page -------------------------------------------------------------------------------------------------
  function put(store, data) {
    const id = settings.stores[store];
    if (!id || !root.dash_clientside || !root.dash_clientside.set_props) return;
    root.dash_clientside.set_props(id, { data });
  }

  function say(text, faults = []) {
    put("trouble", { text, faults, at: Date.now() });
  }

  const memory = once(() => lumen.windows.store({ key: settings.historyKey, local: root.localStorage, session: root.sessionStorage }));

  const keeper = once(() => lumen.history.keeper({ storage: memory(), key: settings.historyKey, onTrouble: say }));

  // What the folder held of a plan when this window last wrote it there or, before that, when this browser did.
  const bases = new Map();
  const baseKey = (identity) => `lumen-kept ${identity}`;

  function baseOf(identity) {
    if (!bases.has(identity)) {
      try {
        bases.set(identity, root.localStorage.getItem(baseKey(identity)));
      } catch {
        bases.set(identity, null);
      }
    }
    return bases.get(identity);
  }

  function setBase(identity, version) {
    bases.set(identity, version);
    try {
      root.localStorage.setItem(baseKey(identity), version);
    } catch {
      /* no room: the folder then keeps one version more */
    }
  }

  const folder = once(() => lumen.kept.keeper({
    async send(plan) {
      const body = JSON.stringify({ plan, based_on: baseOf(plan.identity) });
      // A page that closes lets a request live on only when it is small.
      const keepalive = leaving && body.length < LASTING_BYTES;
      const answer = await root.fetch("keep", { method: "POST", headers: { "Content-Type": "application/json" }, body, keepalive });
      const found = await answer.json();
      if (!answer.ok) throw Object.assign(new Error("not kept"), { faults: found.faults || [] });
      setBase(plan.identity, found.version);
      if (found.other) elsewhere(plan.identity, found.other);
    },
    onTrouble(error) {
      // A server that is away is told of elsewhere; a folder that takes nothing is told here.
      const why = (error.faults || []).map((fault) => fault.rule).join("; ");
      if (why) say(`Your plan could not be kept in your own folder: it ${why}. This browser keeps it; the folder is tried again.`);
    },
    onBack: () => say("Your plan is kept in your own folder again."),
  }));

  // ---- two windows on one plan -------------------------------------------------------------------------------------------
  let asking = false;

  /** Another window has changed this plan: both are kept, and the person says which goes on here. */
  function elsewhere(identity, other = null) {
    if (asking || !history) return;
    asking = true;
    memory().part(); // from now on neither writes over the other
    keeper().save(history);
    const done = (act) => () => {
      asking = false;
      act();
    };
    lumen.choice.ask("This plan was also changed in another window. Both are kept.", [
      ["Show the other one here", done(() => showOther(identity, other))],
      ["Go on here with a copy of its own", done(copyOfItsOwn)],
    ]);
  }

  async function showOther(identity, other) {
    memory().join();
    const kept = keeper().load();
    let plan = other ? null : kept && kept.present;
    if (!plan) {
      const answer = await root.fetch(`kept/${other ? other.mark : identity}`).catch(() => null);
      plan = answer && answer.ok ? await answer.json() : null;
    }
    if (!plan) return say("The other window's plan cannot be read just now; yours goes on.");
    bases.delete(identity);
    if (other) bases.set(identity, null); // what lies there is known now; the folder keeps what it replaces
    return command({ name: "replace", args: { plan } });
  }

  function copyOfItsOwn() {
    const identity = lumen.windows.fresh();
    const title = `${history.present.title.slice(0, 112)} (copy)`;
    history = lumen.history.as(history, identity);
    command({ name: "replace", args: { plan: { ...history.present, title } } });
  }

  async function isAlive() {
    const answer = await root.fetch(root.location.href, { method: "HEAD", cache: "no-store" });
    return answer.status < 500;
  }

  const commands = once(() => lumen.queue({
    deliver: (command) => put("command", command),
    isAlive,
    onLost() {
      doc.documentElement.dataset.lmServer = "lost";
      put("server", "lost");
    },
    onBack() {
      delete doc.documentElement.dataset.lmServer;
      put("server", "here");
    },
    onDrop: (dropped) => refused(dropped.stamp, [{ field: "", rule: "", text: DROPPED }]),
  }));

  const DROPPED = "The page's server could not do this, so it was left out. Your plan is as it was before.";

  /** Dash sends its own requests; of those only the one that carries a command is of interest here. */
  function watchRequests() {
    const isWanted = (url, options) => /_dash-update-component/.test(url) && /^.{0,40}document\.data/.test((options && options.body) || "");
    const fetch = root.fetch.bind(root);
    root.fetch = lumen.watch(fetch, { isWanted, onFailure: (status) => commands().failed(status) });
  }

  function command(cmd) {
    const sent = commands().push(cmd);
    if (cmd.name === "move" || cmd.name === "set" || cmd.name === "level") lumen.live.dim(doc, true);
    for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
    return sent;
  }

  const drawable = () => commands().pending().filter((cmd) => ["move", "set", "level"].includes(cmd.name));

  function answered({ stamp, faults } = {}) {
    if (stepped && stamp === stepped.stamp && !(faults && faults.length)) stepped = null;
    commands().answered(stamp);
    if (faults && faults.length) refused(stamp, faults);
    for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
  }

  /** Nothing came of a command: what it had already drawn goes back, and the page says why. */
  function refused(stamp, faults) {
    slide = null;
    for (const { view } of views.values()) view.revert();
    lumen.live.dim(doc, commands().size() > 0);
    writeAnswers(shown.study);
    if (stepped && stepped.stamp === stamp) {
      // an undo or redo that failed has not happened
      history = lumen.history.record(stepped.from, shown.plan);
      stepped = null;
      keeper().save(history);
      put("history", lumen.history.can(history));
    }
    settings.onRefused(stamp, faults);
    say(faults.map((fault) => fault.text || `${fault.field} ${fault.rule}`).join("; "), faults);
    for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
  }

  // ---- live answers ------------------------------------------------------------------------------------------------------
  const previews = once(() => lumen.latest(
    async (question, signal) => {
      const answer = await root.fetch(settings.previewUrl, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ plan: textOf(question.plan), command: question.command, setup: question.setup, surfaces: surfacesInSight() }),
        signal,
      });
      const body = await answer.json();
      if (!answer.ok) throw Object.assign(new Error("refused"), { faults: body.faults || [] });
      return body;
    },
    {
      onAnswer(answer, question) {
        if (answer.stale) return lumen.live.dim(doc, true); // too slow to follow the hand: the old numbers stay, dimmed
        for (const { view } of views.values()) if (view.preview) view.preview(answer.fields);
        writeAnswers(answer);
        setRefused(null);
        onScreen(() => {
          times.push(root.performance.now() - question.at);
          if (times.length > 300) times.shift();
        });
        return undefined;
      },
      onError(error) {
        if (error.faults) setRefused(error.faults);
        else if (error.name !== "AbortError") commands().noAnswer();
      },
    }
  ));

  /** After the frame that shows what was written. */
  const onScreen = (then) => root.requestAnimationFrame(() => root.setTimeout(then, 0));

  // The plan stays the same while a hand moves something: as one text it is written once here and read once there.
  const written = { plan: null, text: "" };

  function textOf(plan) {
    if (plan !== written.plan) Object.assign(written, { plan, text: JSON.stringify(plan) });
    return written.text;
  }

  const SURFACES = { wall: ["wall"], above: ["floor", "mattress"] };

  function surfacesInSight() {
    const names = new Set();
    for (const [element, { kind }] of views) {
      if (element.closest("[hidden]")) continue; // asking for a width would lay the page out anew
      for (const name of kind === "lux" ? [element.dataset.lmGrid] : shown.paint === "none" ? [] : SURFACES[kind]) names.add(name);
    }
    return [...names];
  }

  function setRefused(faults) {
    for (const { view } of views.values()) view.element.classList.toggle("is-refused", Boolean(faults));
  }

  function preview(cmd) {
    asked += 1;
    previews().ask({ plan: planNow(), command: cmd, setup: shown.setup, at: root.performance.now() });
  }

  const planNow = () => drawable().reduce(lumen.plan.apply, shown.plan);

  function writeAnswers(answers) {
    if (!answers) return 0;
    return lumen.live.write(doc, { planes: answers.planes, eyes: answers.eyes, aims: answers.aims, setup: shown.setup });
  }

  // ---- views -------------------------------------------------------------------------------------------------------------
  const opts = {
    holdsPending: true,
    onCommand: command,
    onPreview: preview,
    onPreviewEnd(kept) {
      previews().cancel();
      setRefused(null);
      if (!kept) {
        for (const { view, kind } of views.values()) if (kind === "lux") view.revert();
        writeAnswers(shown.study);
      }
    },
    onSelect(ids) {
      shown.selection = ids;
      for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ selection: ids });
      put("selection", ids);
    },
    onCaution: (index) => put("caution", index),
    onUndo: () => undo(),
    onRedo: () => redo(),
  };

  function findViews() {
    for (const [element, { view }] of views) {
      if (element.isConnected && element.dataset.lmView) continue;
      view.destroy();
      views.delete(element);
    }
    for (const element of doc.querySelectorAll("[data-lm-view]")) {
      const kind = element.dataset.lmView;
      if (kind === "legend") {
        if (!element.firstChild) lumen.lux.legend(element);
        continue;
      }
      const has = views.get(element);
      if (has && element.contains(element.querySelector(".lm-canvas"))) continue;
      if (kind === "wall" || kind === "above") views.set(element, { kind, view: lumen[kind].mount(element, opts) });
      if (kind === "lux") views.set(element, { kind, view: lumen.lux.mount(element, {}) });
    }
  }

  const slideOf = (setup) => (slide && slide.setup === setup ? slide.levels : null);

  function refresh() {
    findViews();
    const { ready, ...rest } = shown;
    const levels = slideOf(shown.setup);
    for (const [element, { kind, view }] of views) {
      const extra = kind === "lux" ? { grid: element.dataset.lmGrid, title: element.dataset.lmTitle, setup: element.dataset.lmSetup || shown.setup } : { pending: drawable() };
      view.update({ ...rest, fields: ready, levels, ...extra });
    }
    paintThumbs();
    for (const element of doc.querySelectorAll("[data-lm-levels]")) {
      if (shown.plan) lumen.levels.fill(element, { plan: shown.plan, study: shown.study, setup: element.dataset.lmLevels, levels: slideOf(element.dataset.lmLevels), onSlide, onSet });
    }
    for (const slider of doc.querySelectorAll("input[type=range]")) fillTrack(slider);
  }

  /** How far a slider's track is filled; style.css draws it. */
  function fillTrack(slider) {
    const low = Number(slider.min || 0), high = Number(slider.max || 100);
    slider.style.setProperty("--lm-at", `${(100 * (slider.value - low)) / (high - low || 1)}%`);
  }

  function paintThumbs(only = null) {
    if (!shown.plan || !shown.ready) return;
    for (const element of doc.querySelectorAll("[data-lm-thumb]")) {
      const setup = element.dataset.lmThumb;
      if (only && setup !== only) continue;
      const levels = slideOf(setup);
      lumen.thumb.paint(element, { plan: shown.plan, ready: shown.ready, setup, levels, exposure: shown.exposure });
    }
  }

  const soon = new Set(); // setups whose small picture waits for the next frame

  function askThumb(setup) {
    if (!soon.size) {
      root.requestAnimationFrame(() => {
        const setups = [...soon];
        soon.clear();
        setups.forEach(paintThumbs);
      });
    }
    soon.add(setup);
  }

  // ---- level sliders -----------------------------------------------------------------------------------------------------
  function onSlide(setup, id, value) {
    if (!shown.plan) return;
    const base = slide && slide.setup === setup ? slide.levels : lumen.relight.levelsOf(shown.plan, setup);
    slide = { setup, levels: { ...base, [id]: value } };
    if (setup === shown.setup) {
      for (const { view } of views.values()) view.update({ levels: slide.levels });
      const quick = shown.study && lumen.levels.quick(shown.plan, shown.study, slide.levels, setup);
      if (quick) writeAnswers(quick);
    }
    askThumb(setup);
    preview({ name: "level", args: { setup, of: id, value } });
  }

  /** A hand that lets go sends one command; so does a run of arrow keys, when it comes to rest. */
  function onSet(setup, id, value) {
    const key = `${setup}/${id}`;
    if (settling && settling.key !== key) settle();
    if (settling) root.clearTimeout(settling.timer);
    settling = { key, command: { name: "level", args: { setup, of: id, value } }, timer: root.setTimeout(settle, SETTLE_MS) };
  }

  function settle() {
    const { command: cmd, timer } = settling;
    settling = null;
    root.clearTimeout(timer);
    previews().cancel();
    command(cmd);
  }

  const isSliding = () => settling !== null || commands().pending().some((cmd) => cmd.name === "level");

  // ---- in from the page --------------------------------------------------------------------------------------------------
  function show(next) {
    if (!started) start();
    started = true;
    const planChanged = next.plan && !lumen.history.same(next.plan, shown.plan);
    for (const [name, value] of Object.entries(next)) if (value !== null && value !== undefined) shown[name] = value;
    if (next.fields && next.fields !== shown.from) {
      shown.from = next.fields;
      shown.ready = lumen.relight.prepare(next.fields);
    }
    if (next.plan && !restored) {
      restored = true;
      if (restore(next.plan)) return refresh();
    }
    if (planChanged) {
      if (history) folder().note(next.plan);
      history = lumen.history.record(history, next.plan);
      keeper().save(history);
      if (!isSliding()) slide = null;
      put("history", lumen.history.can(history));
    }
    if (next.study) {
      lumen.live.dim(doc, commands().size() > 0);
      writeAnswers(next.study);
    }
    refresh();
  }

  /** Take up the plan of the last visit: its history as it was, its plan sent as a command. */
  function restore(first) {
    const kept = keeper().load();
    // A file that was opened is taken up where it was left only if what is kept grew out of this very file.
    const alike = (plan) => lumen.history.same({ ...plan, identity: first.identity }, first);
    const other = kept && settings.opened && ![...kept.past, kept.present].some(alike);
    if (!kept || other || lumen.history.same(kept.present, first)) {
      history = (!other && kept) || lumen.history.start(first);
      put("history", lumen.history.can(history));
      return false;
    }
    history = kept;
    put("history", lumen.history.can(history));
    command({ name: "replace", args: { plan: kept.present } });
    return true;
  }

  function step(to) {
    if (to === history) return;
    const from = stepped ? stepped.from : history;
    history = to;
    keeper().save(history);
    put("history", lumen.history.can(history));
    stepped = { stamp: command({ name: "replace", args: { plan: history.present } }), from };
  }

  const undo = () => step(lumen.history.undo(history));
  const redo = () => step(lumen.history.redo(history));

  function theme(name) {
    doc.documentElement.dataset.theme = name === "light" ? "light" : "dark";
  }

  function start() {
    watchRequests();
    lumen.windows.watch({ key: settings.historyKey, onOther: () => !memory().apart() && elsewhere(shown.plan && shown.plan.identity) });
    root.addEventListener("pagehide", () => {
      leaving = true;
      keeper().flush();
      folder().flush();
    });
    doc.addEventListener("visibilitychange", () => doc.visibilityState === "hidden" && keeper().flush());
    doc.addEventListener("keydown", (event) => {
      if (event.defaultPrevented || !shown.plan) return;
      const typing = event.target.closest && event.target.closest("input, textarea, select, [contenteditable=true]");
      if (typing && typing.type !== "range") return;
      const what = lumen.keys.meaning(event, { system: shown.units });
      if (what && (what.do === "undo" || what.do === "redo")) {
        event.preventDefault();
        if (what.do === "undo") undo();
        else redo();
      }
    });
    doc.addEventListener("input", (event) => event.target.type === "range" && fillTrack(event.target));
    lumen.files.accept(doc, { onPlan: (plan) => command({ name: "replace", args: { plan } }), onTrouble: say });
  }

  lumen.bridge = {
    show, command, undo, redo, answered, refresh, theme, times,
    settings: (next) => Object.assign(settings, next, { stores: { ...settings.stores, ...(next.stores || {}) } }),
    views: () => [...views.values()].map(({ view }) => view),
    asked: () => asked,
    waiting: () => commands().size(),
    flush: () => settling && settle(), // a slider that has just come to rest
    whenEmpty: (most_ms) => commands().whenEmpty(most_ms),
    state: () => ({ ...shown, history }),
  };

  // What clientside callbacks call; each returns something for an Output to hold.
  const dash = (root.dash_clientside = root.dash_clientside || {});
  let stamp = 0;
  dash.lumen = Object.assign(dash.lumen || {}, {
    show(plan, study, fields, setup, selection, units, exposure, paint) {
      show({ plan, study, fields, setup, selection, units, exposure, paint });
      stamp += 1;
      return stamp;
    },
    answered(data) {
      if (data) answered(data);
      return data ? data.stamp : null;
    },
    undo(n) {
      if (n) undo();
      return n || 0;
    },
    redo(n) {
      if (n) redo();
      return n || 0;
    },
    send(cmd) {
      if (cmd) command(cmd);
      return null;
    },
    theme(name) {
      theme(name);
      return name;
    },
    save(n, text, title) {
      if (n && text) lumen.files.save(text, title);
      return n || 0;
    },
  });
})(typeof window === "undefined" ? globalThis : window);
