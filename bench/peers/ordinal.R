# Rscript ordinal.R MARKS.csv LINK NODES ANSWER.json: one fit with clmm's default settings.
asked <- commandArgs(trailingOnly = TRUE)
suppressMessages(library(ordinal))
marks <- read.csv(asked[1])
marks$step <- factor(marks$step, ordered = TRUE)
for (name in c('wine', 'taster')) marks[[name]] <- factor(marks[[name]])
said <- character()
seconds <- system.time(
  fit <- withCallingHandlers(
    clmm(step ~ wine + (1 | taster), marks, link = asked[2], nAGQ = as.integer(asked[3])),
    warning = function(warning) {
      said <<- c(said, conditionMessage(warning))
      invokeRestart('muffleWarning')
    })
)[['elapsed']]
version <- sprintf('%s, ordinal %s', R.version.string, packageVersion('ordinal'))
jsonlite::write_json(
  list(seconds = seconds, loglik = as.numeric(logLik(fit)),
       warnings = as.list(as.character(said)), version = version),
  asked[4], auto_unbox = TRUE, digits = NA
)
