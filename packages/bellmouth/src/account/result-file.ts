/** A file of a result: name and text. */
export interface ResultFile {
  readonly name: string;
  readonly text: string;
}
