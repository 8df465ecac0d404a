// Draws a view of an equirectangular picture with WebGL2: one triangle over all, a ray for every pixel.
//
// One level of detail for the whole view, from its angle: no seam at azimuth 180, and a fraction of the cost of
// gradients. Close tiles lie in the layers of one array texture; a table says which tile has which layer.

export const COLUMNS = 8;
export const ROWS = 4;
export const TILE = 1024;
const LAYERS = 12;

const VERTEX = `#version 300 es
out vec2 at;
void main() {
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  at = corner * 2.0 - 1.0;
  gl_Position = vec4(at, 0.0, 1.0);
}`;

const FRAGMENT = `#version 300 es
precision highp float;
precision highp sampler2DArray;
uniform mat3 turn;
uniform vec2 slope;
uniform float level, pixel, grain;
uniform sampler2D whole;
uniform sampler2DArray close;
uniform int layers[${COLUMNS * ROWS}];
uniform bool sharp, plumb, zebra;
in vec2 at;
out vec4 ink;
void main() {
  vec3 d = turn * vec3(at * slope, 1.0);
  float across = length(d.xy);
  // Some renderers take the angle of minus nought for half a turn: the middle column would show what lies behind.
  float aside = abs(d.y) < 1e-5 ? 1e-5 : -d.y;
  vec2 uv = vec2(atan(aside, d.x) * 0.15915494 + 0.5, 0.5 - atan(d.z, across) * 0.31830989);
  vec3 colour = textureLod(whole, uv, level).rgb;
  if (sharp) {
    vec2 tile = vec2(fract(uv.x) * ${COLUMNS}.0, clamp(uv.y, 0.0, 0.99999) * ${ROWS}.0);
    int layer = layers[int(tile.y) * ${COLUMNS} + int(tile.x)];
    if (layer >= 0) colour = textureLod(close, vec3(fract(tile), float(layer)), 0.0).rgb;
  }
  if (zebra) {
    float most = max(colour.r, max(colour.g, colour.b));
    float rise = mod(gl_FragCoord.x + gl_FragCoord.y, 8.0 * grain);
    float fall = mod(gl_FragCoord.x - gl_FragCoord.y, 8.0 * grain);
    if (most >= 0.994 && rise < 4.0 * grain) colour = vec3(0.55, 0.12, 0.08);
    if (most <= 0.012 && fall < 3.0 * grain) colour = vec3(0.5, 0.73, 0.82);
  }
  if (plumb && abs(atan(d.z, across)) < pixel * 1.25) {
    float dash = mod(uv.x * 180.0, 1.0);
    colour = dash < 0.5 ? vec3(0.97, 0.96, 0.93) : vec3(0.11, 0.16, 0.2);
  }
  ink = vec4(colour, 1.0);
}`;

/** Raised when the view cannot be drawn here; the flat picture takes its place. */
export class CannotDraw extends Error {}

export class Painter {
  constructor(canvas) {
    this.canvas = canvas;
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, stencil: false, powerPreference: "low-power" });
    if (!gl) throw new CannotDraw("no WebGL2 here");
    this.gl = gl;
    this.pictures = new Map();
    this.tiles = new Map();
    this.table = new Int32Array(COLUMNS * ROWS);
    this.largest = gl.getParameter(gl.MAX_TEXTURE_SIZE);
    const program = this.link();
    gl.useProgram(program);
    this.at = Object.fromEntries(
      ["turn", "slope", "level", "pixel", "grain", "whole", "close", "layers", "sharp", "plumb", "zebra"].map((name) => [name, gl.getUniformLocation(program, name)]),
    );
    gl.uniform1i(this.at.whole, 0);
    gl.uniform1i(this.at.close, 1);
    this.close = null;
    this.emptyArray();
  }

  link() {
    const { gl } = this;
    const program = gl.createProgram();
    for (const [kind, source] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, source);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new CannotDraw("the view cannot be drawn here");
    return program;
  }

  /** An array of one pixel, so that the sampler always has something to look at. */
  emptyArray() {
    const { gl } = this;
    gl.activeTexture(gl.TEXTURE1);
    this.close = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D_ARRAY, this.close);
    gl.texStorage3D(gl.TEXTURE_2D_ARRAY, 1, gl.RGBA8, 1, 1, 1);
    this.room = false;
  }

  makeRoom() {
    const { gl } = this;
    gl.activeTexture(gl.TEXTURE1);
    gl.deleteTexture(this.close);
    this.close = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D_ARRAY, this.close);
    gl.texStorage3D(gl.TEXTURE_2D_ARRAY, 1, gl.RGBA8, TILE, TILE, LAYERS);
    for (const [name, value] of [["WRAP_S", "CLAMP_TO_EDGE"], ["WRAP_T", "CLAMP_TO_EDGE"], ["MIN_FILTER", "LINEAR"], ["MAG_FILTER", "LINEAR"]]) {
      gl.texParameteri(gl.TEXTURE_2D_ARRAY, gl[`TEXTURE_${name}`], gl[value]);
    }
    this.room = true;
  }

  /** Width in pixels that is held of a picture; 0 when there is none. */
  widthOf(name) {
    return this.pictures.get(name)?.width ?? 0;
  }

  /** Take a whole picture in; a wider one takes the place of a narrower. */
  take(name, image, width) {
    const { gl } = this;
    if (width > this.largest) throw new CannotDraw("the picture is larger than a texture may be");
    if (width <= this.widthOf(name)) return;
    gl.activeTexture(gl.TEXTURE0);
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.REPEAT);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.LINEAR);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, image);
    gl.generateMipmap(gl.TEXTURE_2D);
    const old = this.pictures.get(name);
    if (old) gl.deleteTexture(old.texture);
    this.pictures.set(name, { texture, width });
  }

  /** Forget a picture and its tiles. */
  drop(name) {
    const held = this.pictures.get(name);
    if (held) this.gl.deleteTexture(held.texture);
    this.pictures.delete(name);
    for (const key of [...this.tiles.keys()]) if (key.startsWith(`${name}/`)) this.tiles.delete(key);
  }

  has(name, column, row) {
    return this.tiles.has(`${name}/${column}-${row}`);
  }

  /** Take a close tile in; the one looked at longest ago makes room. */
  takeTile(name, column, row, image) {
    const { gl } = this;
    if (!this.room) this.makeRoom();
    const key = `${name}/${column}-${row}`;
    let layer = this.tiles.get(key)?.layer;
    if (layer === undefined) {
      const used = new Set([...this.tiles.values()].map((tile) => tile.layer));
      layer = [...Array(LAYERS).keys()].find((one) => !used.has(one));
      if (layer === undefined) {
        const [oldest] = [...this.tiles.entries()].sort((a, b) => a[1].seen - b[1].seen)[0];
        layer = this.tiles.get(oldest).layer;
        this.tiles.delete(oldest);
      }
    }
    gl.activeTexture(gl.TEXTURE1);
    gl.texSubImage3D(gl.TEXTURE_2D_ARRAY, 0, 0, 0, layer, TILE, TILE, 1, gl.RGBA, gl.UNSIGNED_BYTE, image);
    this.tiles.set(key, { layer, seen: performance.now() });
  }

  /** Say that tiles are looked at, so that others make room first. */
  touch(name, wanted) {
    for (const [column, row] of wanted) {
      const tile = this.tiles.get(`${name}/${column}-${row}`);
      if (tile) tile.seen = performance.now();
    }
  }

  /** Draw the view of a picture on a canvas of that many device pixels. */
  draw(name, lens, width, height, { sharp = false, plumb = false, zebra = false, grain = 1 } = {}) {
    const { gl, canvas, at } = this;
    const held = this.pictures.get(name);
    if (!held) return;
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
      gl.viewport(0, 0, width, height);
    }
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, held.texture);
    const density = lens.density * (width / lens.width);
    gl.uniformMatrix3fv(at.turn, false, [...lens.right, ...lens.up, ...lens.forward]);
    gl.uniform2f(at.slope, ...lens.slope);
    gl.uniform1f(at.level, Math.max(0, Math.log2(held.width / 360 / density)));
    gl.uniform1f(at.pixel, Math.PI / 180 / density);
    gl.uniform1f(at.grain, grain);
    gl.uniform1i(at.plumb, Number(plumb));
    gl.uniform1i(at.zebra, Number(zebra));
    this.table.fill(-1);
    let some = false;
    if (sharp) {
      for (const [key, { layer }] of this.tiles) {
        const [whose, place] = key.split("/");
        if (whose !== name) continue;
        const [column, row] = place.split("-").map(Number);
        this.table[row * COLUMNS + column] = layer;
        some = true;
      }
    }
    gl.uniform1i(at.sharp, Number(some));
    gl.uniform1iv(at.layers, this.table);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  /** Milliseconds that one drawing of that size takes, waited for. */
  cost(name, lens, width, height) {
    const pixel = new Uint8Array(4);
    const { gl } = this;
    let best = Infinity;
    for (let i = 0; i < 3; i++) {
      const start = performance.now();
      this.draw(name, lens, width, height);
      gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
      best = Math.min(best, performance.now() - start);
    }
    return best;
  }
}

/** Tiles under a view, the nearest to its middle first: [column, row] each. */
export function tilesUnder(lens) {
  const found = new Map();
  const steps = 8;
  for (let i = 0; i <= steps; i++) {
    for (let j = 0; j <= steps; j++) {
      const at = [(2 * i) / steps - 1, (2 * j) / steps - 1];
      const { azimuth, elevation } = lens.angles(at);
      const column = Math.min(COLUMNS - 1, Math.floor(((azimuth + 180) / 360) * COLUMNS));
      const row = Math.min(ROWS - 1, Math.floor(((90 - elevation) / 180) * ROWS));
      const far = Math.hypot(...at);
      const key = row * COLUMNS + column;
      if (!found.has(key) || found.get(key).far > far) found.set(key, { column, row, far });
    }
  }
  return [...found.values()].sort((a, b) => a.far - b.far).slice(0, LAYERS).map(({ column, row }) => [column, row]);
}
