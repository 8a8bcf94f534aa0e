import * as z from "zod";

/** The first field of every document's schema: `bellmouth: swap 1`. */
export const headerField = (name: string, version: number) =>
  z
    .literal(`${name} ${version}`, { error: `'${name} ${version}'` })
    .meta({ description: "Kind and version of the document." });
