export * from "./at.js";
export * from "./at-key.js";
export * from "./bellmouth-error.js";
export * from "./omit-undefined.js";
export * from "./require.js";
