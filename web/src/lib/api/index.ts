/** Everything a page can ask of the server, by name. Types are those of the generated contract. */
import {
  address,
  ApiError,
  getJSON,
  getTagged,
  postJSON,
  seg,
  send,
  tagged,
  type Query,
  type Tagged,
} from './client'
import type * as T from './types'

export type * from './types'
export { ApiError, address, seg, type FieldFault, type Tagged } from './client'

/** What the server writes by itself; it is never sent. */
const own = ['revision', 'created', 'updated', 'invented', 'state', '$schema'] as const

/** A thing as it is edited: without what the server writes. */
export type Draft<N> = Omit<N, (typeof own)[number]>

/** Leaves out what the server writes by itself. */
export function draftOf<N extends object>(thing: N): Draft<N> {
  const draft = structuredClone(thing) as Record<string, unknown>
  for (const name of own) delete draft[name]
  return draft as Draft<N>
}

/** A kind of thing that is listed and edited with optimistic concurrency. */
export interface Catalogue<N> {
  list(signal?: AbortSignal): Promise<N[]>
  get(id: string, signal?: AbortSignal): Promise<Tagged<N>>
  create(thing: Draft<N>): Promise<Tagged<N>>
  /** Replaces the revision that the tag names; throws an ApiError with `stale` when somebody was faster. */
  replace(id: string, thing: Draft<N>, etag: string): Promise<Tagged<N>>
}

function catalogue<N extends object>(path: string): Catalogue<N> {
  return {
    list: (signal) => getJSON<N[]>(path, undefined, signal),
    get: (id, signal) => getTagged<N>(`${path}/${seg(id)}`, signal),
    create: async (thing) => tagged<N>(await send('POST', path, { json: thing })),
    replace: async (id, thing, etag) =>
      tagged<N>(await send('PUT', `${path}/${seg(id)}`, { json: thing, etag })),
  }
}

export const hands = catalogue<T.Hand>('/hands')
export const items = catalogue<T.Item>('/items')
export const settings = catalogue<T.Setting>('/settings')

export const listHandDescriptions = (signal?: AbortSignal) =>
  getJSON<T.HandDescription[]>('/hand-descriptions', undefined, signal)
export const getHandClosing = (
  hand: string,
  query: { item: string; size_mm?: number; distance_mm?: number; steps?: number },
  signal?: AbortSignal,
) => getJSON<T.HandClosing>(`/hand-descriptions/${seg(hand)}/closing`, query, signal)
export const getHandGrip = (
  hand: string,
  query: { item: string; smallest_mm?: number; largest_mm?: number; sizes?: number; steps?: number },
  signal?: AbortSignal,
) => getJSON<T.HandGrip>(`/hand-descriptions/${seg(hand)}/grip`, query, signal)

/** The files of sensors of touch are only read; nothing of them is kept. */
export const readPads = (files: T.TouchFiles, signal?: AbortSignal): Promise<T.PadReport> =>
  send('POST', '/touch/pads', { json: files, signal }).then((r) => r.json() as Promise<T.PadReport>)
export const readStrips = (files: T.TouchFiles, signal?: AbortSignal): Promise<T.FingerReport> =>
  send('POST', '/touch/strips', { json: files, signal }).then((r) => r.json() as Promise<T.FingerReport>)
export const inventedPads = (signal?: AbortSignal) =>
  getJSON<T.TouchFiles>('/touch/pads/invented', undefined, signal)
export const inventedStrips = (signal?: AbortSignal) =>
  getJSON<T.TouchFiles>('/touch/strips/invented', undefined, signal)

/** Sensors of a rig that a page can follow. */
export type RigSensor = 'pads' | 'strips'
const rig = (hand: string, sensor: RigSensor) => `/hands/${seg(hand)}/${sensor}/follow`
/** Where pictures of a rig's readings come from: the address of a websocket, whose first message says what to follow with. */
export const rigStream = (hand: string, sensor: RigSensor): string =>
  location.origin.replace(/^http/, 'ws') + address(rig(hand, sensor))
/** Why the server would not open a stream; a websocket itself does not tell. */
export const whyNotFollow = (hand: string, sensor: RigSensor) => whyNoStream(rig(hand, sensor))
async function whyNoStream(path: string, query?: Query): Promise<ApiError> {
  try {
    await send('GET', path, { query })
  } catch (cause) {
    if (cause instanceof ApiError && cause.status !== 426) return cause
  }
  return new ApiError(0, 'offline', 'The stream could not be opened. Reload the page and begin again.')
}

const touch = (hand: string) => `/hands/${seg(hand)}/touch`
/** Clips labelled after a label, and all else that is known; after 0 all clips. */
export const getTouch = (hand: string, after: number, signal?: AbortSignal) =>
  getJSON<T.TouchState>(touch(hand), { after }, signal)
/** What is said of a clip that is stored. */
export interface TouchAbout extends Query {
  zone?: string
  position_mm?: number
  session: string
  specimen: string
  object?: string
  pressure_kPa?: number
  by?: string
}
export const addTouchClip = async (
  hand: string,
  about: TouchAbout,
  sound: Blob,
  name: string,
  key?: string,
): Promise<T.TouchClip> => {
  const wav = sound.type === 'audio/wav' ? sound : new Blob([sound], { type: 'audio/wav' })
  const response = await send('POST', touch(hand) + '/clips', { query: { ...about, name, key }, raw: wav })
  return response.json() as Promise<T.TouchClip>
}
export const labelTouch = async (
  hand: string,
  labels: T.NewTouchLabel[],
  after: number,
): Promise<T.TouchState> => {
  const response = await send('POST', touch(hand) + '/labels', { query: { after }, json: labels })
  return response.json() as Promise<T.TouchState>
}
export const listTouchLabels = (hand: string, clip: number, signal?: AbortSignal) =>
  getJSON<T.TouchLabel[]>(`${touch(hand)}/clips/${clip}/labels`, undefined, signal)
export const getTouchPicture = (hand: string, clip: number, signal?: AbortSignal) =>
  getJSON<T.TouchPicture>(`${touch(hand)}/clips/${clip}/picture`, undefined, signal)
export const startTouchTraining = (hand: string) => postJSON<T.TouchState>(touch(hand) + '/training', {})
export const stopTouchTraining = async (hand: string): Promise<void> => {
  await send('DELETE', touch(hand) + '/training')
}
export const touchModelFile = (hand: string) => address(touch(hand) + '/model.json')
export const inventedKnock = (number: number) => getJSON<T.InventedKnock>(`/invented-knocks/${number}`)
const live = (hand: string) => touch(hand) + '/live'
/** Where samples go, 32-bit floating point, and touches come from: the address of a websocket. */
export const touchLive = (hand: string, rateHz: number): string =>
  location.origin.replace(/^http/, 'ws') + address(live(hand), { rate_hz: rateHz, format: 'f32' })
/** Why the server would not open a live stream; a websocket itself does not tell. */
export const whyNotLive = (hand: string, rateHz: number) =>
  whyNoStream(live(hand), { rate_hz: rateHz, format: 'f32' })

const feel = (hand: string) => `/hands/${seg(hand)}/feel`
export const getFeel = (hand: string, signal?: AbortSignal) =>
  getJSON<T.FeelInfo>(feel(hand), undefined, signal)
export const startFeel = (hand: string, ask: T.FeelStart) => postJSON<T.FeelInfo>(feel(hand), ask)
export const stopFeel = async (hand: string): Promise<void> => {
  await send('DELETE', feel(hand) + '/work', {})
}
export const inventedGuided = async (hand: string): Promise<string> =>
  (await getJSON<{ guided: string }>(feel(hand) + '/invented')).guided
export const feelStrategy = (hand: string) => address(feel(hand) + '/strategy.yaml')

const bench = (hand: string) => `/hands/${seg(hand)}/bench`
export const listBenchTests = (signal?: AbortSignal) =>
  getJSON<T.BenchTest[]>('/bench-tests', undefined, signal)
export const listBench = (hand: string, signal?: AbortSignal) =>
  getJSON<T.BenchRecord[]>(bench(hand), undefined, signal)
/** Only checks the record, or keeps it too. */
export const addBench = async (
  hand: string,
  record: T.BenchRequest,
  dryRun: boolean,
): Promise<T.BenchRecord> => {
  const response = await send('POST', bench(hand), { json: record, query: { dry_run: dryRun } })
  return response.json() as Promise<T.BenchRecord>
}
/** Brings the hand's description to its bench records; nothing is kept. */
export const feedDescription = (
  hand: string,
  start: T.HandFeedStart,
  signal?: AbortSignal,
): Promise<T.HandFeed> =>
  send('POST', `${bench(hand)}/feed`, { json: start, signal }).then((r) => r.json() as Promise<T.HandFeed>)
export const voidBench = (hand: string, record: number, by: string, reason: string) =>
  postJSON<T.BenchRecord>(`${bench(hand)}/${record}/void`, { by, reason })
export const benchTable = (hand: string, record: number) => address(`${bench(hand)}/${record}/table.csv`)
export const getHandSheet = (list: string[], signal?: AbortSignal) =>
  getJSON<T.HandSheet>('/hand-sheet', { hands: list.join(',') }, signal)
export const handSheetPDF = (list: string[]) => address('/hand-sheet.pdf', { hands: list.join(',') })

/** Figures are there from the start, with revision 0 until somebody states them; they are only read and edited. */
export const itemEconomics = catalogue<T.ItemEconomics>('/economics/items')
export const handEconomics = catalogue<T.HandEconomics>('/economics/hands')
export const lineEconomics = catalogue<T.LineEconomics>('/economics/lines')

const study = (id: string) => `/studies/${seg(id)}`

export const getLab = (signal?: AbortSignal) => getJSON<T.Lab>('/lab', undefined, signal)

export const listStudies = (signal?: AbortSignal) => getJSON<T.StudyRow[]>('/studies', undefined, signal)
export const studies = catalogue<T.Study>('/studies')
export const drawUpPlan = (id: string) => postJSON<T.PlanSummary>(study(id) + '/plan')
export const getPlan = (id: string, signal?: AbortSignal) =>
  getJSON<{ summary: T.PlanSummary; runs: T.PlannedRun[] }>(study(id) + '/plan', undefined, signal)
export const finishStudy = (id: string) => postJSON<T.Study>(study(id) + '/finish')
export const reopenStudy = (id: string) => postJSON<T.Study>(study(id) + '/reopen')
export const planCSV = (id: string) => address(study(id) + '/plan.csv')
export const runSheet = (id: string) => address(study(id) + '/runsheet.pdf')

export const previewOrientations = (
  ask: { plan: T.OrientationPlan; hand: string; item: string; setting: string },
  signal?: AbortSignal,
): Promise<T.OrientationPreview> =>
  send('POST', '/design/orientations', { json: ask, signal }).then(
    (r) => r.json() as Promise<T.OrientationPreview>,
  )
export const sampleSize = (question: T.SampleSizeQuestion, signal?: AbortSignal): Promise<T.SampleSize> =>
  send('POST', '/design/sample-size', { json: question, signal }).then(
    (r) => r.json() as Promise<T.SampleSize>,
  )

export const nextRun = (id: string, holder: string, signal?: AbortSignal) =>
  getJSON<T.NextRun>(study(id) + '/next', { holder }, signal)
export const giveBack = async (id: string, holder: string): Promise<void> => {
  await send('DELETE', study(id) + '/next', { query: { holder } })
}

export interface TrialQuery extends Query {
  hand?: string
  item?: string
  setting?: string
  strategy?: string
  block?: number
  reference?: boolean
  after?: number
  limit?: number
  newest?: boolean
}
export const logTrial = (id: string, trial: T.NewTrial) => postJSON<T.Trial>(study(id) + '/trials', trial)
export const listTrials = (id: string, query: TrialQuery = {}, signal?: AbortSignal) =>
  getJSON<{ trials: T.Trial[]; total: number }>(study(id) + '/trials', query, signal)
export const trialHistory = (id: string, trial: number, signal?: AbortSignal) =>
  getJSON<T.History>(`${study(id)}/trials/${trial}`, undefined, signal)
export const inspect = (id: string, inspection: T.Inspection) =>
  postJSON<T.Inspection>(study(id) + '/inspections', inspection)
export const getProgress = (id: string, signal?: AbortSignal) =>
  getJSON<T.Progress>(study(id) + '/progress', undefined, signal)
export const trialsFile = (id: string, kind: 'csv' | 'parquet') => address(`${study(id)}/trials.${kind}`)
export const importTrials = async (id: string, file: File, dryRun: boolean): Promise<T.ImportResult> => {
  const raw = new Blob([file], { type: 'application/octet-stream' })
  const response = await send('POST', study(id) + '/import', {
    raw,
    query: { name: file.name, dry_run: dryRun },
  })
  return response.json() as Promise<T.ImportResult>
}

export const storeRecording = async (file: File): Promise<T.Recording> => {
  const response = await send('POST', '/recordings', { raw: file, query: { name: file.name } })
  return response.json() as Promise<T.Recording>
}
export const getRecording = async (sha256: string, signal?: AbortSignal): Promise<Blob> =>
  (await send('GET', '/recordings/' + seg(sha256), { signal })).blob()
export const recordingFile = (sha256: string) => address('/recordings/' + seg(sha256))

/** Which map: a condition of a study, blurred by a turn of the hand (degrees; left out: the study's line error). */
export interface MapQuery extends Query {
  hand: string
  item: string
  setting: string
  strategy: string
  blur_deg?: number
}
export const listConditions = (id: string, signal?: AbortSignal) =>
  getJSON<T.Condition[]>(study(id) + '/conditions', undefined, signal)
export const getMap = (id: string, query: MapQuery, signal?: AbortSignal) =>
  getJSON<T.MapInfo>(study(id) + '/map', query, signal)
export const getMapRaster = async (
  id: string,
  query: MapQuery,
  signal?: AbortSignal,
): Promise<Uint16Array> => {
  const response = await send('GET', study(id) + '/map/raster', { query, signal })
  return new Uint16Array(await response.arrayBuffer())
}
export const getMapMarks = (id: string, query: MapQuery, signal?: AbortSignal) =>
  getJSON<T.MapMarks>(study(id) + '/map/marks', query, signal)
export const getMapAt = (
  id: string,
  query: MapQuery & { qw: number; qx: number; qy: number; qz: number },
  signal?: AbortSignal,
) => getJSON<T.MapPoint>(study(id) + '/map/at', query, signal)
export const mapFile = (id: string, kind: 'csv' | 'parquet' | 'png' | 'svg', query: Query) =>
  address(`${study(id)}/map.${kind}`, query)

export const getChoice = (
  id: string,
  query: { hand?: string; item?: string; setting?: string; min_radius_deg?: number } = {},
  signal?: AbortSignal,
) => getJSON<T.Choice>(study(id) + '/choice', query, signal)

/** How large errors one condition stands; what is left out is the study's own. */
export interface ToleranceQuery extends Query {
  hand: string
  item: string
  setting: string
  strategy: string
  target?: number
  position_mm?: number
  angle_deg?: number
}
export const getTolerance = (id: string, query: ToleranceQuery, signal?: AbortSignal) =>
  getJSON<T.Tolerance>(study(id) + '/tolerance', query, signal)

/** Which trials next; with the history of the loss, which takes longer. */
export const getNextTrials = (
  id: string,
  query: { trials?: number; history?: boolean },
  signal?: AbortSignal,
) => getJSON<T.NextTrials>(study(id) + '/next-trials', query, signal)
export const addNextTrials = (id: string, ask: { trials: number; plan_end: number }) =>
  postJSON<T.NextTrials>(study(id) + '/next-trials', ask)

/** What the trials of one condition say about its simulation; how far a fit is. */
export const getModel = (id: string, query: MapQuery, signal?: AbortSignal) =>
  getJSON<T.ModelInfo>(study(id) + '/model', query, signal)
export const startModelFit = (id: string, query: MapQuery, ask: T.ModelStart) =>
  postJSON<T.ModelInfo>(study(id) + '/model', ask, query)
export const stopModelFit = async (id: string, query: MapQuery): Promise<void> => {
  await send('DELETE', study(id) + '/model/fit', { query })
}
export const useModelFit = async (id: string, query: MapQuery, inUse: boolean): Promise<T.ModelInfo> =>
  (
    await send('PUT', study(id) + '/model/use', { query, json: { in_use: inUse } })
  ).json() as Promise<T.ModelInfo>

/** Which two levels of which factor; the rest of the condition where it is given. */
export interface CompareQuery extends Query {
  by: string
  a: string
  b: string
  hand?: string
  item?: string
  setting?: string
  strategy?: string
}
export const getComparison = (
  id: string,
  query: CompareQuery & { unit?: string; no_worse_by?: number },
  signal?: AbortSignal,
) => getJSON<T.Comparison>(study(id) + '/comparison', query, signal)
export const getComparisonMaps = (
  id: string,
  query: CompareQuery & { blur_deg?: number },
  signal?: AbortSignal,
) => getJSON<T.MapsComparison>(study(id) + '/comparison/maps', query, signal)

export const listUnjudged = (id: string, judge: string, limit: number, signal?: AbortSignal) =>
  getJSON<T.ToJudge>(study(id) + '/unjudged', { judge, limit }, signal)
export const logJudgement = (id: string, judgement: T.Judgement) =>
  postJSON<T.Judgement>(study(id) + '/judgements', judgement)
export const listJudgements = (id: string, signal?: AbortSignal) =>
  getJSON<T.Judgement[]>(study(id) + '/judgements', undefined, signal)
export const getAgreement = (id: string, signal?: AbortSignal) =>
  getJSON<T.Agreement>(study(id) + '/agreement', undefined, signal)

export const getFactors = (id: string, query: { item_features?: boolean }, signal?: AbortSignal) =>
  getJSON<T.Factors>(study(id) + '/factors', query, signal)

/** Which family, and which item of the catalogue borrows; the study's item with fewest trials when left out. */
export interface FamilyQuery extends Query {
  hand: string
  setting: string
  strategy: string
  item?: string
}
export const getFamilies = (id: string, query: FamilyQuery, signal?: AbortSignal) =>
  getJSON<T.Families>(study(id) + '/families', query, signal)
export const getFamilyScores = (id: string, query: FamilyQuery, signal?: AbortSignal) =>
  getJSON<T.FamilyScores>(study(id) + '/families/scores', query, signal)

export const getValue = (id: string, query: { item?: string; retry?: string }, signal?: AbortSignal) =>
  getJSON<T.ItemValue>(study(id) + '/value', query, signal)
export const getHandSet = (
  query: { max_hands?: number; confidence?: number; trials?: number },
  signal?: AbortSignal,
) => getJSON<T.HandSet>('/handset', query, signal)

export const designProof = (
  id: string,
  question: T.ProofQuestion,
  signal?: AbortSignal,
): Promise<T.ProofPlan> =>
  send('POST', study(id) + '/proof-design', { json: question, signal }).then(
    (r) => r.json() as Promise<T.ProofPlan>,
  )
export const getProofSubject = (
  id: string,
  query: { hand: string; item: string; setting: string; strategy: string },
  signal?: AbortSignal,
) => getJSON<T.ProofSubject>(study(id) + '/proof-subject', query, signal)
export const listProofs = (id: string, signal?: AbortSignal) =>
  getJSON<T.Proof[]>(study(id) + '/proofs', undefined, signal)
export const signProof = (id: string, proof: T.SignProof) => postJSON<T.Proof>(study(id) + '/proofs', proof)
export const logProofTrial = (id: string, proof: string, trial: T.NewProofTrial) =>
  postJSON<T.Proof>(`${study(id)}/proofs/${seg(proof)}/trials`, trial)
export const giveUpProof = (id: string, proof: string, by: string, reason: string) =>
  postJSON<T.Proof>(`${study(id)}/proofs/${seg(proof)}/give-up`, { by, reason })

export const listCards = (signal?: AbortSignal) => getJSON<T.Card[]>('/cards', undefined, signal)
export const getCard = (id: string, signal?: AbortSignal) =>
  getJSON<T.Card>('/cards/' + seg(id), undefined, signal)
export const releaseCard = (card: T.ReleaseCard) => postJSON<T.Card>('/cards', card)
export const withdrawCard = (id: string, by: string, reason: string) =>
  postJSON<T.Card>(`/cards/${seg(id)}/withdraw`, { by, reason })
export const cardJSON = (id: string) => address(`/cards/${seg(id)}/card.json`)
export const cardPDF = (id: string) => address(`/cards/${seg(id)}/card.pdf`)
