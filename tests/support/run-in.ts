import { run } from "@bellmouth/cli";

/** What a command line gave. */
export interface Ran {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a command line in a folder, without a process, and gives what it printed. */
export async function runIn(cwd: string, argv: readonly string[]): Promise<Ran> {
  let stdout = "";
  let stderr = "";
  const code = await run(argv, {
    stdout: (text) => {
      stdout += text;
    },
    stderr: (text) => {
      stderr += text;
    },
    cwd,
  });
  return { code, stdout, stderr };
}
