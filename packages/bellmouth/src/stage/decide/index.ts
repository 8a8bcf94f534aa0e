export * from "./weigh.js";
