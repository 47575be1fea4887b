// The piece in three dimensions: fetches the solid (binary glTF), draws it with WebGL 2, and turns it by pointer,
// wheel, fingers or keys. Loaded only when somebody asks to see it.

import { word } from "./words.js";

/**
 * @typedef {{places: Float32Array, corners: Uint32Array, face: number, foot: number, wall: boolean}} Solid
 * @typedef {{turn: number, tilt: number, far: number}} View
 */

/**
 * How a solid is first seen: from the side on which the artwork reads right.
 * @param {Solid} solid
 * @param {string | undefined} side from which it is carved
 * @returns {View}
 */
const home = (solid, side) => ({
  turn: side === "back" && !solid.wall ? Math.PI - 0.4 : -0.4,
  tilt: solid.wall ? 0.25 : -0.2,
  far: 1,
});

/**
 * Shows the solid of an address in a box.
 * @param {HTMLElement} box
 */
export async function show(box) {
  const address = box.dataset.solid ?? "";
  if (box.dataset.shown === address) return;
  box.dataset.shown = address;
  const say = (/** @type {string} */ words) => {
    const out = box.querySelector("p");
    if (out) out.textContent = words;
  };
  say(word("solid_comes"));
  try {
    const [answer, map] = await Promise.all([fetch(address), fetch(box.dataset.depths ?? "")]);
    if (!answer.ok) return say(await answer.text());
    const solid = read(await answer.arrayBuffer());
    const depths = await decode(await map.blob());
    if (box.dataset.shown !== address) return;
    const canvas = document.createElement("canvas");
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", word("solid_keys", { piece: box.dataset.alt ?? "" }));
    const gl = canvas.getContext("webgl2", { antialias: true, alpha: true });
    if (!gl) return say(word("solid_cannot"));
    box.querySelector("canvas")?.remove();
    box.prepend(canvas);
    say(word("solid_hands"));
    turnable(canvas, painter(gl, solid, depths, box.dataset), home(solid, box.dataset.side));
  } catch {
    box.dataset.shown = "";
    say(word("solid_lost"));
  }
}

/**
 * Reads what our own server writes: one mesh, positions as floats, corners as 32-bit numbers.
 * @param {ArrayBuffer} bytes
 * @returns {Solid}
 */
function read(bytes) {
  const words = new DataView(bytes);
  if (words.getUint32(0, true) !== 0x46546c67) throw new Error("not binary glTF");
  const length = words.getUint32(12, true);
  const json = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 20, length)));
  const start = 20 + length + 8;
  const { attributes, indices } = json.meshes[0].primitives[0];
  const view = (/** @type {number} */ accessor) => json.bufferViews[json.accessors[accessor].bufferView];
  const { face_mm, foot_mm, form } = json.asset.extras;
  return {
    places: new Float32Array(bytes, start + view(attributes.POSITION).byteOffset, view(attributes.POSITION).byteLength / 4),
    corners: new Uint32Array(bytes, start + view(indices).byteOffset, view(indices).byteLength / 4),
    face: face_mm,
    foot: foot_mm,
    wall: form === "wall",
  };
}

/**
 * Depths in millimetres, row by row from the blank's top left: red is the high byte of micrometres, green the low one.
 * @param {Blob} picture
 */
async function decode(picture) {
  const image = await createImageBitmap(picture, { colorSpaceConversion: "none", premultiplyAlpha: "none" });
  const { width, height } = image;
  const paper = new OffscreenCanvas(width, height).getContext("2d", { willReadFrequently: true });
  if (!paper) throw new Error("no canvas");
  paper.drawImage(image, 0, 0);
  const { data } = paper.getImageData(0, 0, width, height);
  const depths = new Float32Array(width * height);
  for (let i = 0; i < depths.length; i++) depths[i] = (data[4 * i] * 256 + data[4 * i + 1]) / 1000;
  return { width, height, depths };
}

const VERTEX = `#version 300 es
uniform mat4 whole;
uniform mat3 turned;
uniform float face;
uniform float foot;
uniform float axis;
uniform bool wall;
in vec3 place;
out vec3 at;
out vec3 here;
out float depth;
void main() {
  at = turned * place;
  here = place;
  depth = wall ? mix(foot, face, place.z / axis) - length(place.xy) : face - place.z;
  gl_Position = whole * vec4(place, 1.0);
}`;

// Frost is where the ground lies below the untouched face, by the map of depths, which also has finer slopes than the
// triangles: depth grows by dx to the right and dy down the sheet.
const FRAGMENT = `#version 300 es
precision highp float;
uniform float deepest;
uniform int look;
uniform bool inner;
uniform float inside;
uniform bool wall;
uniform mat3 turned;
uniform sampler2D depths;
uniform vec2 sheet;
uniform float mirrored;
in vec3 at;
in vec3 here;
in float depth;
out vec4 colour;
const vec3 LIGHT = normalize(vec3(-0.45, 0.7, 0.55));
const vec3 EDGE = normalize(vec3(0.2, 0.9, -0.3));
float grain(vec2 p) { return fract(sin(dot(floor(p * 9.0), vec2(12.9898, 78.233))) * 43758.5453); }
vec2 onSheet() {
  if (wall) return vec2(atan(here.x, -here.y) / 6.2831853 + 0.5, 1.0 - here.z / sheet.y);
  return vec2(mirrored < 0.0 ? 1.0 - here.x / sheet.x : here.x / sheet.x, 1.0 - here.y / sheet.y);
}
vec3 fine(vec2 uv) {
  vec2 step = 1.0 / vec2(textureSize(depths, 0));
  float dx = texture(depths, uv + vec2(step.x, 0)).r - texture(depths, uv - vec2(step.x, 0)).r;
  float dy = texture(depths, uv + vec2(0, step.y)).r - texture(depths, uv - vec2(0, step.y)).r;
  vec2 slope = vec2(dx, dy) / (2.0 * step * sheet);
  if (!wall) return vec3(mirrored * slope.x, -slope.y, 1.0);
  vec2 out_ = normalize(here.xy);
  return vec3(out_ + slope.x * vec2(-out_.y, out_.x), -slope.y);
}
void main() {
  vec2 uv = onSheet();
  float ground = texture(depths, uv).r;
  float frost = smoothstep(0.002, 0.02, ground) * (1.0 - smoothstep(inside - 0.05, inside - 0.01, depth));
  vec3 flat_ = cross(dFdx(at), dFdy(at));
  vec3 normal = normalize(frost > 0.0 ? turned * fine(uv) : flat_);
  vec3 seen = normal.z < 0.0 ? -normal : normal;
  float facing = max(dot(seen, LIGHT), 0.0), edge = max(dot(seen, EDGE), 0.0);
  float shine = pow(max(reflect(-LIGHT, seen).z, 0.0), 60.0);
  float rim = pow(1.0 - seen.z, 3.0);
  float low = clamp(ground / deepest, 0.0, 1.0);
  float lit = (0.34 + 0.62 * facing + 0.25 * edge) * (0.9 + 0.2 * low) * (0.95 + 0.1 * grain(at.xy + at.z));
  if (look == 2) {
    vec3 polished = vec3(0.085, 0.088, 0.094) * (0.6 + facing) + 0.25 * shine;
    colour = vec4(mix(polished, vec3(0.78, 0.78, 0.76) * lit, frost), 1.0);
    return;
  }
  vec3 clear = look == 1 ? vec3(0.30, 0.33, 0.34) * (0.5 + 0.7 * facing) : vec3(0.10, 0.17, 0.155) * (0.4 + 0.6 * facing);
  clear += 0.5 * shine + vec3(0.25, 0.42, 0.36) * rim;
  // The edge of a pane sends on the light that runs along it.
  float rimmed = frost > 0.0 ? 0.0 : smoothstep(0.01, 0.05, depth) * (1.0 - smoothstep(inside - 0.05, inside - 0.01, depth));
  clear += rimmed * vec3(0.20, 0.36, 0.31);
  float cover = look == 1 ? 1.0 : clamp(0.16 + 0.55 * rim + 0.5 * shine + 0.6 * rimmed, 0.0, 1.0);
  vec3 shown = mix(clear, vec3(0.93, 0.98, 1.0) * lit, frost);
  float alpha = mix(cover, inner ? 0.85 : 0.94, frost);
  colour = vec4(shown * alpha, alpha);
}`;

/**
 * @param {WebGL2RenderingContext} gl
 * @param {Solid} solid
 * @param {{width: number, height: number, depths: Float32Array}} map
 * @param {DOMStringMap} said how it looks, from which side it is carved
 * @returns {(view: View) => void}
 */
function painter(gl, solid, map, { look, side }) {
  const program = linked(gl);
  gl.useProgram(program);
  for (const [kind, data] of /** @type {const} */ ([[gl.ARRAY_BUFFER, solid.places], [gl.ELEMENT_ARRAY_BUFFER, solid.corners]])) {
    gl.bindBuffer(kind, gl.createBuffer());
    gl.bufferData(kind, data, gl.STATIC_DRAW);
  }
  gl.enableVertexAttribArray(0);
  gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
  const at = (/** @type {string} */ name) => gl.getUniformLocation(program, name);
  const { middle, radius, inside, size } = measure(solid);
  const deepest = map.depths.reduce((most, depth) => Math.max(most, depth), 0.05);
  gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.R16F, map.width, map.height, 0, gl.RED, gl.FLOAT, map.depths);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, solid.wall ? gl.REPEAT : gl.CLAMP_TO_EDGE);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
  gl.uniform2f(at("sheet"), solid.wall ? Math.PI * (solid.face + solid.foot) : size[0], solid.wall ? size[2] : size[1]);
  gl.uniform1f(at("mirrored"), side === "back" ? -1 : 1);
  gl.uniform1f(at("face"), solid.face);
  gl.uniform1f(at("foot"), solid.foot);
  gl.uniform1f(at("axis"), size[2]);
  gl.uniform1i(at("wall"), solid.wall ? 1 : 0);
  gl.uniform1f(at("deepest"), deepest);
  gl.uniform1f(at("inside"), inside);
  gl.uniform1i(at("look"), { glass: 0, mirror: 1, stone: 2 }[look ?? ""] ?? 0);
  gl.enable(gl.DEPTH_TEST);
  gl.enable(gl.CULL_FACE);
  gl.enable(gl.BLEND);
  gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
  gl.clearColor(0, 0, 0, 0);
  const [whole, turned, inner] = [at("whole"), at("turned"), at("inner")];
  return (view) => {
    const { width, height } = gl.canvas;
    gl.viewport(0, 0, width, height);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const turn = rotation(view, solid.wall);
    gl.uniformMatrix3fv(turned, false, turn);
    gl.uniformMatrix4fv(whole, false, projected(turn, middle, radius, view.far, width / height));
    // Glass: first what is seen through it, then its near side over that.
    for (const [culled, isInner] of /** @type {const} */ ([[gl.FRONT, 1], [gl.BACK, 0]])) {
      gl.cullFace(culled);
      gl.uniform1i(inner, isInner);
      gl.drawElements(gl.TRIANGLES, solid.corners.length, gl.UNSIGNED_INT, 0);
      gl.clear(gl.DEPTH_BUFFER_BIT);
    }
  };
}

/** @param {WebGL2RenderingContext} gl */
function linked(gl) {
  const program = /** @type {WebGLProgram} */ (gl.createProgram());
  for (const [kind, text] of /** @type {const} */ ([[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]])) {
    const shader = /** @type {WebGLShader} */ (gl.createShader(kind));
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.bindAttribLocation(program, 0, "place");
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program) ?? "no program");
  return program;
}

/**
 * Middle and size of the solid, and how far its hidden side lies below the face.
 * @param {Solid} solid
 */
function measure({ places, face, foot, wall }) {
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  let inside = 0;
  for (let i = 0; i < places.length; i += 3) {
    for (let axis = 0; axis < 3; axis++) {
      least[axis] = Math.min(least[axis], places[i + axis]);
      most[axis] = Math.max(most[axis], places[i + axis]);
    }
  }
  const tall = most[2] - least[2];
  for (let i = 0; i < places.length; i += 3) {
    const outer = foot + ((face - foot) * places[i + 2]) / tall;
    inside = Math.max(inside, wall ? outer - Math.hypot(places[i], places[i + 1]) : face - places[i + 2]);
  }
  const middle = least.map((end, axis) => (end + most[axis]) / 2);
  const size = least.map((end, axis) => most[axis] - end);
  return { middle, radius: Math.hypot(...size) / 2, inside, size };
}

/**
 * Turns the solid under the eye: columns of a matrix.
 * @param {View} view
 * @param {boolean} wall
 */
function rotation({ turn, tilt }, wall) {
  // A panel lies with its face up and is stood up to the eye; a tumbler stands on its foot.
  const [ct, st] = [Math.cos(turn), Math.sin(turn)];
  const lean = wall ? tilt - Math.PI / 2 : tilt;
  const [cl, sl] = [Math.cos(lean), Math.sin(lean)];
  return wall
    ? [ct, st * cl, st * sl, -st, ct * cl, ct * sl, 0, -sl, cl]
    : [ct, st * sl, -st * cl, 0, cl, sl, st, -ct * sl, ct * cl];
}

/**
 * @param {number[]} turn
 * @param {number[]} middle
 * @param {number} radius
 * @param {number} far
 * @param {number} aspect
 */
function projected(turn, middle, radius, far, aspect) {
  const away = (2.25 * radius * far) / Math.min(1, aspect);
  const [near, end] = [Math.max(0.02 * radius, away - 1.3 * radius), away + 1.3 * radius];
  const focus = 2.7;
  const depth = [(end + near) / (near - end), (2 * end * near) / (near - end)];
  const column = (/** @type {number[]} */ [x, y, z], /** @type {number} */ w) => [
    (focus * x) / aspect,
    focus * y,
    depth[0] * (z - w * away) + w * depth[1],
    -(z - w * away),
  ];
  const columns = [0, 1, 2].map((i) => turn.slice(3 * i, 3 * i + 3));
  const moved = [0, 1, 2].map((row) => -columns.reduce((sum, c, i) => sum + c[row] * middle[i], 0));
  return [...columns.flatMap((c) => column(c, 0)), ...column(moved, 1)];
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {(view: View) => void} paint
 * @param {View} first
 */
function turnable(canvas, paint, first) {
  const view = { ...first };
  const held = new Map();
  let asked = 0;
  const again = () => {
    cancelAnimationFrame(asked);
    asked = requestAnimationFrame(() => paint(view));
  };
  const move = (/** @type {Partial<View>} */ by) => {
    view.turn += by.turn ?? 0;
    view.tilt = Math.min(1.55, Math.max(-1.55, view.tilt + (by.tilt ?? 0)));
    view.far = Math.min(2.5, Math.max(0.12, view.far * (by.far ?? 1)));
    again();
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, event);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = held.get(event.pointerId);
    if (!before) return;
    const others = [...held.values()].filter((other) => other.pointerId !== event.pointerId);
    if (others.length > 0) {
      const from = (/** @type {PointerEvent} */ p) => Math.hypot(p.clientX - others[0].clientX, p.clientY - others[0].clientY);
      move({ far: from(before) / Math.max(1, from(event)) });
    } else {
      move({ turn: (event.clientX - before.clientX) / 160, tilt: (event.clientY - before.clientY) / 160 });
    }
    held.set(event.pointerId, event);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, (event) => held.delete(/** @type {PointerEvent} */ (event).pointerId));
  }
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    move({ far: Math.exp(event.deltaY / 600) });
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const step = {
      ArrowLeft: { turn: -0.1 }, ArrowRight: { turn: 0.1 }, ArrowUp: { tilt: -0.1 }, ArrowDown: { tilt: 0.1 },
      "+": { far: 0.9 }, "=": { far: 0.9 }, "-": { far: 1.1 },
    }[event.key];
    if (!step && event.key !== "Home") return;
    event.preventDefault();
    if (event.key === "Home") Object.assign(view, first);
    move(step ?? {});
  });
  new ResizeObserver(() => {
    const dense = Math.min(2, devicePixelRatio);
    canvas.width = Math.max(1, Math.round(canvas.clientWidth * dense));
    canvas.height = Math.max(1, Math.round(canvas.clientHeight * dense));
    paint(view);
  }).observe(canvas);
}
