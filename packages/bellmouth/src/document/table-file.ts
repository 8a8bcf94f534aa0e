import * as z from "zod";
import type { GivenChannel, GivenTable, TableColumnUse } from "../columns/index.js";
import { BellmouthError, omitUndefined } from "../fault/index.js";
import { givenChannel, placeField } from "./columns-block.js";
import type { BuildContext } from "./document.js";
import { block, fileField, listOf, oneOf, textLineField, wholeField } from "./fields.js";

/** A table's file: its name, or a block with what the file does not say of its columns. `keys` are what the table is read for. */
export const tableFileField = (about: string, example: string, keys: string) =>
  oneOf(
    [
      fileField(about, example),
      block({
        file: fileField(about, example),
        columns: z
          .record(
            z.string().max(200),
            oneOf(
              [
                placeField("A column.", "Luftmasse [kg/h]"),
                listOf(
                  oneOf(
                    [textLineField("Its name.", 200), wholeField("Its number, from 1.", 1, 100_000)],
                    "a column's name, or its number from 1",
                  ),
                  "Columns that are not used.",
                  1,
                  1000,
                ),
              ],
              `a column, as in 'Luftmasse [kg/h]', or a block with column and unit`,
            ),
          )
          .meta({ description: `Which column is which: ${keys}; and 'ignore', a list.` }),
      }),
    ],
    `the name of a file, as in '${example}', or a block with file and columns`,
  );
export type TableFile = z.output<ReturnType<typeof tableFileField>>;

export interface OpenedTable {
  readonly text: string;
  readonly file: string;
  readonly given?: GivenTable;
  readonly told: (uses: readonly TableColumnUse[]) => void;
}

/** Text of a table's file, its name for messages, and what the document says of its columns. @throws `E_FILE`, `E_SCHEMA` */
export function openTable(raw: TableFile, context: BuildContext): OpenedTable {
  const name = typeof raw === "string" ? raw : raw.file;
  const file = context.nameOf(name);
  return omitUndefined({
    text: context.open(name),
    file,
    told: (columns: readonly TableColumnUse[]) => context.tell({ file, columns }),
    given: typeof raw === "string" ? undefined : givenTable(raw.columns),
  });
}

function givenTable(raw: Exclude<TableFile, string>["columns"]): GivenTable {
  const columns: Record<string, GivenChannel> = {};
  let ignore: GivenTable["ignore"];
  for (const [key, value] of Object.entries(raw)) {
    if (Array.isArray(value)) {
      if (key !== "ignore")
        throw new BellmouthError({
          code: "E_SCHEMA",
          message: `'${key}' is one column, and a list stands there`,
          accepted: "a column; only 'ignore' is a list",
        });
      ignore = value;
    } else columns[key] = givenChannel(key, value);
  }
  return omitUndefined({ columns, ignore });
}
