/** The words of the page, as the guide and the glossary use them. */
export const words = [
  {
    word: 'Hand',
    text: 'The compliant hand. Its palm’s z points out of the palm, its x across the fingers’ opening.',
  },
  {
    word: 'Item',
    text: 'A thing to pick: a family of shapes with spreads of size and mass, friction, and a damage limit.',
  },
  { word: 'Setting', text: 'What surrounds the item: the support surface, a wall, an edge, with friction.' },
  {
    word: 'Strategy',
    text: 'A motion program: free (touch nothing but the item), surface-guided, wall-guided, edge-pull, scoop. Each step ends on a condition.',
  },
  {
    word: 'Closing command',
    text: '0 to 1 of the hand’s range; the hand says how many mm of travel or kPa of pressure 1 is.',
  },
  { word: 'Placement offset', text: 'Where the item really was, minus where it was believed to be, in mm.' },
  {
    word: 'Study',
    text: 'A question with its conditions: which hands, items, settings, strategies and orientations are tried.',
  },
  { word: 'Block', text: 'Trials run together, such as a day or a batch; their order is random inside it.' },
  {
    word: 'Whole plot',
    text: 'A stretch of trials in which hand, setting and item stay put, because changing them is slow.',
  },
  {
    word: 'Reference trial',
    text: 'The same condition at each block’s start and end, so that wear or a drifting bench shows.',
  },
  {
    word: 'Trial',
    text: 'One attempt. The record only grows: a correction is a new entry that names the old one.',
  },
  {
    word: 'Inspection',
    text: 'A later look at an item, since bruises show late. It changes how the trial counts, not what was entered.',
  },
  {
    word: 'Judgement',
    text: 'How somebody says that a trial ended, without seeing the record. It never changes how the trial counts.',
  },
  {
    word: 'Cohen’s κ, Krippendorff’s α',
    text: 'Agreement beyond chance: 1 is full, 0 is guessing. Where one outcome is rare they run low, so read the share agreed beside them.',
  },
  {
    word: 'No worse by a margin',
    text: 'Shown when the lower bound of the difference lies above minus the margin: worse by more than that is ruled out.',
  },
  { word: 'Success map', text: 'The chance of “held” over all orientations, with its interval.' },
  {
    word: 'Blurred success',
    text: 'Success when the hand’s orientation errs by what the line will add: the number that matters there.',
  },
  {
    word: 'Covering radius',
    text: 'The largest turn from any orientation to the nearest one of the plan: how coarse the plan is.',
  },
  { word: 'Pick card', text: 'The released decision for one item on one line, with the evidence behind it.' },
]

export const outcomes = [
  { word: 'held', text: 'Lifted and held still. The only success.' },
  { word: 'dropped', text: 'Lifted, then lost.' },
  { word: 'slipped', text: 'Lost while lifting.' },
  { word: 'missed', text: 'The hand closed beside it.' },
  { word: 'pushed', text: 'Moved out of reach or toppled.' },
  { word: 'damaged', text: 'Held or not, the item was hurt.' },
  { word: 'stopped', text: 'Stopped for safety.' },
  { word: 'failed', text: 'Not held, and how was not recorded (imported counts).' },
  { word: 'void', text: 'Does not count; a reason is needed.' },
]
