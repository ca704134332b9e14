/** Who works at this bench; kept in the browser so that it need not be typed for every entry. */
const key = 'holdfast.operator'

function stored(): string {
  try {
    return localStorage.getItem(key) ?? ''
  } catch {
    return ''
  }
}

export const person = $state({ name: stored() })

export function rememberPerson() {
  try {
    localStorage.setItem(key, person.name)
  } catch {
    // Without storage the name lasts as long as the page.
  }
}
