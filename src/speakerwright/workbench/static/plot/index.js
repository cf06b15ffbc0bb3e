export { Plot } from "./plot.js";
export * as data from "./data.js";
export * as labels from "./labels.js";
export * as linked from "./linked.js";
export * as ticks from "./ticks.js";
export { styles } from "./styles.js";
