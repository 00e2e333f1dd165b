/** What a form does instead of going to another page. */
export const submitted = (work: () => unknown) => (event: SubmitEvent) => {
  event.preventDefault()
  void work()
}
