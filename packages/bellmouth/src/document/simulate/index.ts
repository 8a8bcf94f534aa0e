export * from "./simulate-document.js";
export { simulateDocument } from "./simulate-kind.js";
