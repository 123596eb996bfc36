/* A made-up study and made-up maps for looking at the drawings without a server. Nothing here is a result:
 * every light is a bare point of its flux, every strip a row of points, and bounced light is one flat guess. */
import * as Plan from "/assets/plan.js";
import * as Relight from "/assets/relight.js";

function points(plan) {
  const out = {};
  for (const light of Plan.list(plan, "lights")) {
    out[light.id] = [{ at: Plan.lightCentre(plan, light), lm: Plan.middle(light.lamp.flux_lm) }];
  }
  for (const strip of Plan.list(plan, "strips")) {
    const dots = [];
    strip.path_m.forEach((end, i) => {
      if (!i) return;
      const start = strip.path_m[i - 1];
      const length = Math.hypot(...end.map((v, k) => v - start[k]));
      const n = Math.max(2, Math.round(length / 0.03));
      for (let j = 0; j < n; j += 1) {
        dots.push({ at: start.map((v, k) => v + ((j + 0.5) / n) * (end[k] - v)), lm: (Plan.middle(strip.flux_lm_per_m) * length) / n });
      }
    });
    out[strip.id] = dots;
  }
  return out;
}

function lux(dots, point, normal, soft) {
  let sum = 0;
  for (const { at, lm } of dots) {
    const way = at.map((v, k) => v - point[k]);
    const d2 = way.reduce((s, v) => s + v * v, 0) + soft;
    const cosine = way.reduce((s, v, k) => s + v * normal[k], 0) / Math.sqrt(d2);
    if (cosine > 0) sum += ((lm / (4 * Math.PI)) * cosine) / d2;
  }
  return sum;
}

function grid(corner, u, v, normal, size, step, reflectance, sources) {
  const nu = Math.round(size[0] / step), nv = Math.round(size[1] / step);
  const direct = {}, bounced = {};
  for (const [id, dots] of Object.entries(sources)) {
    direct[id] = [];
    bounced[id] = [];
    const flux = dots.reduce((s, dot) => s + dot.lm, 0);
    for (let j = 0; j < nv; j += 1) {
      for (let i = 0; i < nu; i += 1) {
        const a = ((i + 0.5) / nu) * size[0], b = ((j + 0.5) / nv) * size[1];
        const point = corner.map((c, k) => c + a * u[k] + b * v[k]);
        direct[id].push(lux(dots, point, normal, 0.0006));
        bounced[id].push(flux * 0.012 * (0.7 + 0.3 * (j / nv)));
      }
    }
  }
  return { corner_m: corner, origin_m: [corner[0], u[0] && v[1] ? corner[1] : corner[2]], u, v, size_m: size, nu, nv, reflectance, colour: null, direct, bounced };
}

export function synthetic(plan) {
  const sources = points(plan);
  const room = Plan.extent(plan);
  const bed = Plan.mattress(plan);
  const grids = {
    wall: grid([room.x0, room.y1, 0], [1, 0, 0], [0, 0, 1], [0, -1, 0], [room.x1 - room.x0, room.z1], 0.06, 0.75, sources),
    floor: grid([room.x0, room.y0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [room.x1 - room.x0, room.y1 - room.y0], 0.15, 0.25, sources),
  };
  if (bed) {
    const c = [bed.at_m[0] - bed.size_m[0] / 2, bed.at_m[1] - bed.size_m[1] / 2, bed.at_m[2] + bed.size_m[2]];
    grids.mattress = grid(c, [1, 0, 0], [0, 1, 0], [0, 0, 1], [bed.size_m[0], bed.size_m[1]], 0.1, 0.7, sources);
  }
  const tint = Object.fromEntries(Object.keys(sources).map((id) => [id, [1.6, 0.92, 0.32]]));
  const entry = (target, setup, value) => ({
    target, setup, average_lx: value, minimum_lx: value * 0.6, maximum_lx: value * 1.5, low_lx: value * 0.8, high_lx: value * 1.2,
    by_source: Object.entries(Relight.levelsOf(plan, setup)).map(([id, level]) => ({ id, direct_lx: level * 40, bounced_lx: level * 8 })),
  });
  const planes = [], eyes = [];
  for (const setup of Plan.list(plan, "setups")) {
    const total = Object.values(Relight.levelsOf(plan, setup.id)).reduce((s, level) => s + level * 48, 0);
    for (const someone of Plan.list(plan, "people")) {
      planes.push(entry(`page:${someone.id}`, setup.id, total));
      eyes.push({ ...entry(`eye:${someone.id}:lying back`, setup.id, total / 9), illuminance_lx: total / 9, melanopic_edi_lx: total / 20, melanopic_low_lx: total / 28, melanopic_high_lx: total / 14 });
    }
    planes.push(entry("mattress", setup.id, total / 3), entry("floor", setup.id, total / 5));
  }
  const cautions = [
    { level: "stop", title: "Plug crushed behind the headboard", objects: ["bed outlet"] },
    { level: "ask", title: "Made for fixed wiring", objects: ["left light"] },
    { level: "ask", title: "Made for fixed wiring", objects: ["right light"] },
    { level: "note", title: "Standby", objects: ["bedside strip"] },
  ];
  return {
    fields: { sources: Object.keys(sources), grids, tint },
    study: { planes, eyes, cautions, aims: (plan.aims || []).flatMap((aim) => (aim.setups || []).map((setup) => ({ ...aim, setup, state: "short", words: "not sure: 230-350 lx" }))), targets: [], setups: [] },
  };
}
