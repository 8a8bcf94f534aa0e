import { BellmouthError } from "../fault/index.js";

const WORDS: { readonly [code: string]: string } = {
  ENOENT: "there is no such file or folder",
  EACCES: "permission is denied",
  EPERM: "this is not permitted",
  EROFS: "the disk is read-only",
  ENOSPC: "the disk is full",
  EDQUOT: "your share of the disk is used up",
  EFBIG: "the file would be larger than allowed here",
  EISDIR: "this is a folder, not a file",
  EEXIST: "there is a file where a folder should be",
  ENOTEMPTY: "another program saved files into it meanwhile",
  ENOTDIR: "part of the path is a file, not a folder",
  ENAMETOOLONG: "the name is too long",
  EMFILE: "too many files are open",
  ENFILE: "too many files are open",
  EBUSY: "it is in use by another program",
  EIO: "the disk reports an error",
  ELOOP: "the links lead in a circle",
  EINVAL: "the name is not allowed here",
  ERR_INVALID_ARG_VALUE: "the name is not allowed here",
  ENXIO: "it is no file (a socket or a device that is not there)",
  EFAULT: "the system does not let it be read",
};

/** What the file system said, as `E_FILE` in plain words. Anything that is no such error is thrown on as it is. */
export function fileFault(error: unknown, doing: string, path: string, after = ""): BellmouthError {
  const code = (error as { code?: unknown } | null)?.code;
  if (typeof code !== "string" || !(error instanceof Error)) throw error;
  const words = Object.hasOwn(WORDS, code) ? WORDS[code] : `the system reports ${code}`;
  return new BellmouthError({
    code: "E_FILE",
    message: `cannot ${doing}: ${words}${after}`,
    at: { file: path },
  });
}
