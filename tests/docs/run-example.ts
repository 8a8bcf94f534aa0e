import ts from "typescript";

/** How many comparisons an example made. */
export interface ExampleRun {
  readonly compared: number;
}

/** `1.2250` -> half a unit of its last digit. */
function halfDigit(text: string): number {
  const [mantissa, exponent] = text.toLowerCase().split("e") as [string, string | undefined];
  const decimals = mantissa.split(".")[1]?.length ?? 0;
  return 0.5 * 10 ** (Number(exponent ?? 0) - decimals);
}

/**
 * Runs an example and compares each line that ends in `// ≈ number` with the number at the digits given, and each
 * line that ends in `// => value` with that JSON value exactly. `scope` holds the names the example may use.
 */
export async function runExample(
  code: string,
  scope: Readonly<Record<string, unknown>>,
): Promise<ExampleRun> {
  const failures: string[] = [];
  let compared = 0;
  const close = (value: unknown, shown: string, line: string): void => {
    compared += 1;
    const expected = Number(shown);
    if (!(Math.abs(Number(value) - expected) <= halfDigit(shown) * (1 + 1e-9))) {
      failures.push(`${line}: got ${String(value)}, the example says ${shown}`);
    }
  };
  const same = (value: unknown, shown: string, line: string): void => {
    compared += 1;
    if (JSON.stringify(value) !== JSON.stringify(JSON.parse(shown))) {
      failures.push(`${line}: got ${JSON.stringify(value)}, the example says ${shown}`);
    }
  };
  const lines = code.split("\n").map((line) => {
    const match = /^(?<left>.*?);?\s*\/\/ (?<how>≈|=>) (?<shown>.*)$/.exec(line);
    if (match?.groups === undefined) return line;
    const { left, how, shown } = match.groups as { left: string; how: string; shown: string };
    const assigned = /^\s*(?:const|let) (?<name>\w+)(?:: [^=]+)? = (?<value>.*)$/.exec(left);
    const check = how === "≈" ? "__close" : "__same";
    const text = how === "≈" ? (shown.trim().split(/\s/)[0] as string) : shown.trim();
    const tail = `${JSON.stringify(text)}, ${JSON.stringify(line.trim())});`;
    return assigned?.groups === undefined
      ? `${check}((${left.trim()}), ${tail}`
      : `${left};${check}(${assigned.groups["name"]}, ${tail}`;
  });
  const plain = ts.transpileModule(lines.join("\n").replace(/^import .*$/gm, ""), {
    compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext },
  }).outputText;
  const names = [...Object.keys(scope), "__close", "__same"];
  const body = new Function(...names, `return (async () => {${plain}\n})();`) as (
    ...values: unknown[]
  ) => Promise<void>;
  await body(...Object.values(scope), close, same);
  if (failures.length > 0) throw new Error(failures.join("\n"));
  return { compared };
}
