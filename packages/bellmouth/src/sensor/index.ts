export * from "./headroom/index.js";
export * from "./housing.js";
export * from "./law/index.js";
export * from "./profile/index.js";
export * from "./rescale/index.js";
export * from "./safety/index.js";
export * from "./thermistor/index.js";
export * from "./transfer-curve.js";
