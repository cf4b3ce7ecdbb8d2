/**
 * Why the operating system refuses a file, in words.
 */
const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  EACCES: 'permission is denied',
  EPERM: 'permission is denied',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of its path is not a folder',
  EROFS: 'the file system is read-only',
  ENOSPC: 'the disk is full',
  ELOOP: 'its links go round in a circle',
  ENAMETOOLONG: 'its name is too long',
};

export function reasonOf(thrown: unknown): string {
  const code = thrown instanceof Error && 'code' in thrown ? String(thrown.code) : '';
  return REASONS[code] ?? (code === '' ? String(thrown) : code);
}
