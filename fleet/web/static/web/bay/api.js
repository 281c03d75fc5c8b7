// Calls to the server: by the tablet's token, never by cookie, and never longer than half a minute (a photo: two).

const PATIENCE_MS = 30_000;
const PHOTO_MS = 120_000;

/** No answer: no network, or a server that does not speak. Nothing is known of what it did. */
export class NoAnswer extends Error {}

/**
 * @param {string} path under /api/v1/tablet/
 * @param {{token?: string, body?: any, photo?: ArrayBuffer, more?: Record<string, string>, language?: string, etag?: string}} [how]
 * @returns {Promise<{status: number, data: any, etag: string | null}>}
 */
export async function ask(path, { token, body, photo, more = {}, language = "en", etag } = {}) {
  const headers = { Accept: "application/json", "Accept-Language": language, ...more };
  if (token) headers.Authorization = `Tablet ${token}`;
  if (etag) headers["If-None-Match"] = etag;
  if (body !== undefined) headers["Content-Type"] = "application/json";
  if (photo) headers["Content-Type"] = "image/jpeg";
  const request = { method: body === undefined && !photo ? "GET" : "POST", headers, credentials: "omit", cache: "no-store",
    signal: AbortSignal.timeout(photo ? PHOTO_MS : PATIENCE_MS), body: photo ?? (body === undefined ? undefined : JSON.stringify(body)) };
  try {
    const answer = await fetch(`/api/v1/tablet/${path}/`, request);
    const kind = answer.headers.get("Content-Type") ?? "";
    const data = answer.status !== 304 && kind.includes("json") ? await answer.json() : null;
    return { status: answer.status, data, etag: answer.headers.get("ETag") };
  } catch (error) {
    throw new NoAnswer(String(error));
  }
}

/**
 * What the server says is wrong, in its own words, or nothing.
 * @param {any} data
 * @returns {string}
 */
export function saidOf(data) {
  const problems = (data?.problems ?? []).map(({ message, hint }) => [message, hint].filter(Boolean).join(" "));
  return problems.join(" ") || data?.detail || "";
}
