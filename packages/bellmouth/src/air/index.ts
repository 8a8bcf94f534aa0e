export * from "./cipm-2007.js";
export * from "./gas-constants.js";
export * from "./moist-air.js";
export * from "./pipe-friction.js";
export * from "./reynolds.js";
export * from "./saturation.js";
export * from "./transport.js";
