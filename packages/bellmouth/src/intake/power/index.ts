export * from "./airflow-power.js";
export * from "./corrected-power.js";
export * from "./inlet-power.js";
