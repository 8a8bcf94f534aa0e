export * from "./verify-kind.js";
