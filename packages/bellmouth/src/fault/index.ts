export * from "./bellmouth-error.js";
export * from "./require.js";
