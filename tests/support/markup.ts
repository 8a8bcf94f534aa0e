/** A start or end tag with the names of its attributes, as a parser of HTML (or of XML: the stricter of both) sees it. */
export interface Tag {
  readonly name: string;
  readonly end: boolean;
  readonly alone: boolean;
  readonly attributes: Readonly<Record<string, string>>;
}

export interface Parsed {
  readonly tags: readonly Tag[];
  /** Everything between tags, decoded. */
  readonly text: string;
}

const ENTITIES: Readonly<Record<string, string>> = {
  "&amp;": "&",
  "&lt;": "<",
  "&gt;": ">",
  "&quot;": '"',
  "&#39;": "'",
};

/** Throws on an entity that nobody writes here: a text that was escaped twice, or not at all. */
const decoded = (text: string): string =>
  text.replace(/&[^;\s]{0,8};?/gu, (entity) => {
    const meant = ENTITIES[entity];
    if (meant === undefined) throw new Error(`not an entity: ${entity}`);
    return meant;
  });

/**
 * Takes markup apart the strict way: quoted attributes, no stray `<`, no comments, elements closed in order. The content
 * of `style` and `script` is skipped as a browser skips it: up to the next `</`.
 */
export function parseMarkup(markup: string): Parsed {
  const tags: Tag[] = [];
  const open: string[] = [];
  const texts: string[] = [];
  const tagAt = /<(\/?)([A-Za-z][\w:-]*)((?:\s+[\w:-]+="[^"<]*")*)\s*(\/?)>/uy;
  let at = /^(?:<!doctype html>|<\?xml version="1\.0" encoding="UTF-8"\?>)/u.exec(markup)?.[0].length ?? 0;
  while (at < markup.length) {
    const next = markup.indexOf("<", at);
    texts.push(decoded(markup.slice(at, next < 0 ? undefined : next)));
    if (next < 0) break;
    tagAt.lastIndex = next;
    const found = tagAt.exec(markup);
    if (found === null) throw new Error(`no tag: ${markup.slice(next, next + 80)}`);
    const [whole, slash, name = "", rest = "", alone] = found;
    at = next + whole.length;
    const attributes = Object.fromEntries(
      [...rest.matchAll(/([\w:-]+)="([^"]*)"/gu)].map(([, key = "", value = ""]) => [key, decoded(value)]),
    );
    tags.push({ name, end: slash === "/", alone: alone === "/", attributes });
    if (slash === "/") {
      if (open.pop() !== name)
        throw new Error(`</${name}> closes nothing: ${markup.slice(next - 80, next + 20)}`);
    } else if (alone !== "/" && !["meta", "br", "link", "input"].includes(name)) open.push(name);
    if (slash !== "/" && (name === "style" || name === "script")) at = markup.indexOf("</", at);
  }
  if (open.length > 0) throw new Error(`not closed: ${open.join(", ")}`);
  return { tags, text: texts.join("\n") };
}
