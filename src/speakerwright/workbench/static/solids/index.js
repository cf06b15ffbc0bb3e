export { View } from "./view.js";
export { unpack } from "./parts.js";
export { length } from "./measure.js";
export { look } from "./look.js";
