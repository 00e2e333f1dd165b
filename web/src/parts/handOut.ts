/** Give a file to the device: share it where that is how files are saved, else download it. */
export async function handOutText(text: string, name: string, type: string): Promise<void> {
  const whole = new File([text], name, { type })
  const share = navigator as Partial<Navigator>
  if (matchMedia('(pointer: coarse)').matches && share.canShare?.({ files: [whole] })) {
    await navigator.share({ files: [whole], title: name })
    return
  }
  const link = document.createElement('a')
  link.href = URL.createObjectURL(whole)
  link.download = name
  link.click()
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000)
}
