/** Where the things to do lead, and what the button that leads there says. */
import type { Todo } from '$lib/api'

export function whereTo(todo: Pick<Todo, 'kind' | 'study' | 'card'>): { href: string; button: string } {
  const study = todo.study ? '/studies/' + encodeURIComponent(todo.study) : '/studies'
  switch (todo.kind) {
    case 'add-hand':
      return { href: '/hands?new', button: 'Describe a hand' }
    case 'add-item':
      return { href: '/items?new', button: 'Describe an item' }
    case 'add-setting':
      return { href: '/settings?new', button: 'Describe a setting' }
    case 'add-study':
      return { href: '/studies?new', button: 'Begin a study' }
    case 'plan':
      return { href: study, button: 'Draw up the plan' }
    case 'run':
      return { href: study + '/run', button: 'Go on with the trials' }
    case 'inspect':
      return { href: study + '/record?inspect=waiting', button: 'Enter inspections' }
    case 'map':
      return { href: study + '/map', button: 'Open the map' }
    case 'choose':
      return { href: study + '/choose', button: 'Choose a region' }
    case 'card':
      return {
        href: todo.card ? '/cards/' + encodeURIComponent(todo.card) : '/cards',
        button: 'Open the card',
      }
  }
}
