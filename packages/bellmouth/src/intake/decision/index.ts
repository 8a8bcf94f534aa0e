export * from "./decide.js";
