/** The one place that talks to the server: addresses, headers, errors. */

const prefix = '/api/v1'

/** One field that the server would not accept. */
export interface FieldFault {
  /** Path of the field in what was sent, such as `strategies[1].kind`; rows and columns for imports. */
  field: string
  message: string
  value: string
}

/** The server's refusal (RFC 9457), or the network's. */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    /** The kind of trouble: invalid, notFound, conflict, stale, refused, internal, or offline. */
    readonly kind: string,
    message: string,
    readonly faults: FieldFault[] = [],
  ) {
    super(message)
    this.name = 'ApiError'
  }
  /** Somebody else edited the same thing meanwhile. */
  get stale(): boolean {
    return this.status === 412
  }
}

/** An answer together with its entity tag, for editing it later. */
export interface Tagged<T> {
  value: T
  etag: string
}

type Scalar = string | number | boolean | null | undefined
export type Query = Record<string, Scalar>

/** Writes an address under the interface's prefix; empty, null and undefined parts of the query are left out. */
export function address(path: string, query: Query = {}): string {
  const parts = new URLSearchParams()
  for (const [name, value] of Object.entries(query)) {
    if (value !== undefined && value !== null && value !== '') parts.set(name, String(value))
  }
  const search = parts.toString()
  return prefix + path + (search ? '?' + search : '')
}

/** A path segment from a name. */
export const seg = encodeURIComponent

export interface Request {
  query?: Query
  /** Sent as JSON. */
  json?: unknown
  /** Sent as it is. */
  raw?: Blob
  etag?: string
  signal?: AbortSignal
}

/** Sends a request and returns the response when the server accepted it, else throws an [ApiError]. */
export async function send(method: string, path: string, request: Request = {}): Promise<Response> {
  const headers: Record<string, string> = { Accept: 'application/json' }
  let body: BodyInit | undefined
  if (request.json !== undefined) {
    headers['Content-Type'] = 'application/json'
    body = JSON.stringify(request.json)
  } else if (request.raw) {
    headers['Content-Type'] = request.raw.type || 'application/octet-stream'
    body = request.raw
  }
  if (request.etag) headers['If-Match'] = request.etag
  let response: Response
  try {
    response = await fetch(address(path, request.query), { method, headers, body, signal: request.signal })
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === 'AbortError') throw cause
    throw new ApiError(0, 'offline', 'The server does not answer. Is it still running? Nothing was changed.')
  }
  if (!response.ok) throw await refusal(response)
  return response
}

async function refusal(response: Response): Promise<ApiError> {
  try {
    const problem = (await response.json()) as {
      title?: string
      detail?: string
      kind?: string
      errors?: { location?: string; message?: string; value?: unknown }[]
    }
    const faults = (problem.errors ?? []).map((e) => ({
      field: (e.location ?? '').replace(/^body\.?/, ''),
      message: e.message ?? '',
      value: e.value === undefined || e.value === null ? '' : String(e.value),
    }))
    const message = problem.detail || problem.title || `The server refused (${response.status}).`
    return new ApiError(response.status, problem.kind ?? '', message, faults)
  } catch {
    return new ApiError(
      response.status,
      '',
      `The server refused (${response.status} ${response.statusText}).`,
    )
  }
}

export async function getJSON<T>(path: string, query?: Query, signal?: AbortSignal): Promise<T> {
  return (await send('GET', path, { query, signal })).json() as Promise<T>
}

export async function getTagged<T>(path: string, signal?: AbortSignal): Promise<Tagged<T>> {
  return tagged<T>(await send('GET', path, { signal }))
}

export async function tagged<T>(response: Response): Promise<Tagged<T>> {
  return { value: (await response.json()) as T, etag: response.headers.get('ETag') ?? '' }
}

export async function postJSON<T>(path: string, json?: unknown, query?: Query): Promise<T> {
  const response = await send('POST', path, { json, query })
  return (response.status === 204 ? undefined : await response.json()) as T
}
