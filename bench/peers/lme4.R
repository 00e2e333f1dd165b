# Rscript lme4.R MARKS.csv FORMULA ANSWER.json: one fit with lme4's default settings.
asked <- commandArgs(trailingOnly = TRUE)
suppressMessages(library(lme4))
marks <- read.csv(asked[1])
for (name in setdiff(names(marks), c('total', 'position'))) marks[[name]] <- factor(marks[[name]])
said <- character()
seconds <- system.time(
  fit <- withCallingHandlers(lmer(as.formula(asked[2]), marks), warning = function(warning) {
    said <<- c(said, conditionMessage(warning))
    invokeRestart('muffleWarning')
  })
)[['elapsed']]
components <- as.data.frame(VarCorr(fit))
version <- sprintf('%s, lme4 %s, BLAS %s', R.version.string, packageVersion('lme4'),
                   basename(extSoftVersion()[['BLAS']]))
jsonlite::write_json(
  list(seconds = seconds, criterion = REMLcrit(fit),
       variances = as.list(setNames(components$vcov, components$grp)),
       warnings = as.list(as.character(said)), version = version),
  asked[3], auto_unbox = TRUE, digits = NA
)
