# Shared by the R code in the modules' docstrings; run by regenerate.py.
# Versions used: R 4.2.2, lme4 1.1-31, lmerTest 3.1-3, emmeans 1.8.4-1, multcomp 1.4-22,
# mvtnorm 1.1-3, numDeriv 2016.8-1.1, all of Debian 12.

suppressMessages({library(lme4); library(lmerTest); library(emmeans); library(multcomp)})
emm_options(lmerTest.limit = 1e5, lmer.df = 'satterthwaite')

options(width = 150)
show <- function(...) for (value in list(...)) print(value, digits = 11)

# REML fit at the optimum itself. Default optimiser settings leave variances wrong by up to
# 3e-4 of themselves; here a tight search, Newton steps on a Richardson gradient (a standard
# deviation below 1e-5 of the residual's is taken as 0), then a refit that stays there.
tight <- function(formula, data) {
  search <- lmerControl(optimizer = 'bobyqa', calc.derivs = FALSE,
                        optCtrl = list(rhoend = 1e-11, maxfun = 1e5))
  first <- suppressMessages(lme4::lmer(formula, data, control = search))
  deviance <- update(first, devFunOnly = TRUE)
  theta <- getME(first, 'theta')
  inside <- theta > 1e-5
  theta[!inside] <- 0
  part <- function(x) { full <- theta; full[inside] <- x; deviance(full) }
  for (step in 1:4) {
    x <- theta[inside]
    theta[inside] <- x - solve(numDeriv::hessian(part, x), numDeriv::grad(part, x))
  }
  stay <- lmerControl(optimizer = 'bobyqa', calc.derivs = FALSE,
                      optCtrl = list(rhobeg = 1e-9, rhoend = 1e-12))
  suppressMessages(lmerTest::lmer(formula, data, control = stay, start = theta))
}

variances <- function(fit) {
  table <- as.data.frame(VarCorr(fit))
  setNames(table$vcov, table$grp)
}

# -2 log REML likelihood at any variances (those of the random terms, residual last), by
# lme4's own factorisation: ldL2 + ldRX2 + (n - p) log(2 pi s2) + penalised RSS / s2.
criterion_of <- function(fit) {
  deviance <- lme4::lmer(formula(fit), model.frame(fit), devFunOnly = TRUE)
  inner <- environment(deviance)
  free <- nobs(fit) - length(fixef(fit))
  function(v) {
    s2 <- v[length(v)]
    deviance(sqrt(v[-length(v)] / s2))
    inner$pp$ldL2() + inner$pp$ldRX2() + free * log(2 * pi * s2) +
      (inner$resp$wrss() + inner$pp$sqrL(1)) / s2
  }
}

# Profile-likelihood 95 % interval of each variance: where the REML criterion, minimised over
# the other variances, stands 3.841459 (0.95 quantile of chi-square, 1 df) above its minimum.
profile_intervals <- function(fit) {
  criterion <- criterion_of(fit)
  best <- variances(fit)
  target <- REMLcrit(fit) + qchisq(0.95, 1)
  t(sapply(seq_along(best), function(k) {
    others <- pmax(best[-k], 1e-3 * max(best))
    above <- function(value) {
      at <- function(rest) criterion(append(rest, value, k - 1))
      lower <- ifelse(seq_along(best)[-k] == length(best), 1e-6, 0)
      search <- function(start) nlminb(start, at, lower = lower, control =
        list(rel.tol = 1e-14, abs.tol = 0, x.tol = 1e-12, eval.max = 5000, iter.max = 5000))
      found <- search(search(others)$par)
      found$objective - target
    }
    scale <- max(best[k], 1e-3 * max(best))
    low <- if (k < length(best) && above(0) <= 0) 0 else
      uniroot(above, c(1e-6 * scale, best[k]), tol = 1e-10 * scale)$root
    top <- scale
    while (above(top) < 0) top <- 2 * top
    c(low = low, high = uniroot(above, c(best[k], top), tol = 1e-10 * scale)$root)
  })) -> table
  rownames(table) <- names(best)
  table
}

# Both tails of max |t| over all pairs: the multivariate t (Hothorn, Bretz & Westfall 2008).
# pmvt takes whole degrees of freedom only, so a chance is interpolated in 1/df between the
# two whole ones next to it.
beyond <- function(t, df, correlation) {
  precise <- mvtnorm::GenzBretz(maxpts = 5e5, abseps = 1e-5)
  many <- rep(abs(t), nrow(correlation))
  at <- function(whole) 1 - mvtnorm::pmvt(-many, many, df = whole, corr = correlation,
                                          algorithm = precise)
  if (abs(df - round(df)) < 1e-3) return(at(round(df)))
  weight <- (1 / floor(df) - 1 / df) / (1 / floor(df) - 1 / ceiling(df))
  (1 - weight) * at(floor(df)) + weight * at(ceiling(df))
}

plain <- function(table) as.data.frame(lapply(as.data.frame(table), identity))

means_table <- function(fit, term = ~wine) plain(emmeans(fit, term))

# All pairs: p.value alone, p.adjusted over all pairs at once, critical = the 95 % quantile of
# max |t| at the mean df of the pairs whose df agree to two digits.
pairs_table <- function(fit, term = ~wine) {
  pairs <- pairs(emmeans(fit, term), adjust = 'none')
  table <- plain(pairs)
  correlation <- cov2cor(vcov(pairs))
  set.seed(1)
  table$p.adjusted <- mapply(beyond, table$t.ratio, table$df,
                             MoreArgs = list(correlation = correlation))
  critical <- function(df) uniroot(function(t) beyond(t, mean(df), correlation) - 0.05,
                                   c(1.9, 6), tol = 1e-5)$root
  table$critical <- ave(table$df, signif(table$df, 2), FUN = critical)
  table
}

# F test that all wines are alike, by orthonormal contrasts (Helmert's).
all_alike <- function(fit) {
  wine <- startsWith(names(fixef(fit)), 'wine')
  helmert <- t(contr.helmert(sum(wine) + 1))
  load <- matrix(0, sum(wine), length(wine))
  load[, wine] <- (helmert / sqrt(rowSums(helmert^2)))[, -1]
  contest(fit, load)
}

# Random wines: prediction (mean + BLUP) and the standard error of prediction less truth, from
# the inverse of Henderson's (1975, Biometrics 31, 423) mixed model equations.
predictions <- function(fit) {
  x <- getME(fit, 'X'); z <- as.matrix(t(getME(fit, 'Zt'))); s2 <- sigma(fit)^2
  g <- s2 * diag(as.matrix(getME(fit, 'Lambdat')))^2
  term <- rep(names(getME(fit, 'cnms')), diff(getME(fit, 'Gp')))
  used <- g > 0
  equations <- crossprod(cbind(x, z[, used])) / s2
  diag(equations) <- diag(equations) + c(rep(0, ncol(x)), 1 / g[used])
  inverse <- solve(equations)
  place <- ncol(x) + which(term[used] == 'wine')
  load <- matrix(0, length(place), ncol(inverse))
  load[, 1] <- 1
  load[cbind(seq_along(place), place)] <- 1
  covariance <- load %*% inverse %*% t(load)
  data.frame(wine = rownames(ranef(fit)$wine),
             score = fixef(fit)[1] + ranef(fit)$wine[, 1], se = sqrt(diag(covariance)),
             se_of_difference_from_first = sqrt(diag(covariance) + covariance[1, 1] -
                                                2 * covariance[, 1]))
}
