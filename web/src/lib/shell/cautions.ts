/** The usual cautions. They inform; they are not a safety function. */
export const cautions = [
  {
    word: 'Moving robot',
    short: 'Keep people out of its reach before any motion.',
    long: 'Keep people out of the motion range, or use the safeguard that the risk assessment names, before any motion. A robot that stands still may start without warning.',
  },
  {
    word: 'Pinching',
    short: 'Fingers close with force.',
    long: 'Fingers close with force, soft ones too. Keep your own hands clear of the hand and from between hand, item and support.',
  },
  {
    word: 'Compressed air',
    short: 'Vent before you touch the hand.',
    long: 'Shut off and vent the line before you touch, change or clean an air-driven hand. A burst finger or a loose hose can injure eyes; wear eye protection.',
  },
  {
    word: 'Food contact',
    short: 'Clean to the hygiene plan.',
    long: 'Clean to the plant’s hygiene plan before and after. Use only surfaces declared fit for contact with food, and do not sell goods that were used in trials unless the plan allows it.',
  },
]

export const notASafetyFunction =
  'The risk assessment, local codes and licensed practice decide; nothing here is a safety function.'
