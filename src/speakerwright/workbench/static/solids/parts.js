// The parts of a cabinet as they come over the wire: a header, then corners and triangles.

export function unpack(buffer) {
  const size = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, size)));
  const start = 4 + size;
  const parts = header.parts.map((part) => ({
    ...part,
    positions: new Float32Array(buffer, start + part.positions[0], part.positions[1]),
    indices: new Uint32Array(buffer, start + part.indices[0], part.indices[1]),
    edges: new Uint32Array(buffer, start + part.edges[0], part.edges[1]),
  }));
  return { ...header, parts };
}
