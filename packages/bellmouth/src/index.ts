export * from "./curve/index.js";
export * from "./fault/index.js";
export * from "./sensor/index.js";
export * from "./units/index.js";
