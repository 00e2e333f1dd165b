/** Sending files with a bar that grows; `fetch` does not tell how far it is. */
import { Refused, Unreachable, type Problem } from '../api/call'

export function sendFiles<T>(
  path: string,
  token: string,
  form: FormData,
  onprogress: (share: number) => void,
): Promise<T> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest()
    request.open('POST', path)
    request.setRequestHeader('Authorization', `Bearer ${token}`)
    request.setRequestHeader('X-Halfpoint', '1')
    request.setRequestHeader('Accept', 'application/json')
    request.upload.onprogress = (event) => {
      if (event.lengthComputable) onprogress(event.loaded / event.total)
    }
    request.onerror = () => reject(new Unreachable('no answer'))
    request.onload = () => {
      const told = read(request.responseText)
      if (told === null) reject(new Unreachable(String(request.status)))
      else if (request.status >= 400) {
        const problem = told as Partial<Problem>
        reject(new Refused(request.status, { ...problem, found: problem.found ?? '' }))
      } else resolve(told as T)
    }
    request.send(form)
  })
}

function read(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return null
  }
}
