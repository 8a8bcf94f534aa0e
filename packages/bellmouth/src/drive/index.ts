export type * from "./drive.js";
