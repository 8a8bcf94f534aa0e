export * from "./curve.js";
