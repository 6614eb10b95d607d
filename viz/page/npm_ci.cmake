# npm_ci.cmake - the packages that FROM/package-lock.json pins, into INTO/node_modules; INTO/.installed tells that they are there
#   usage   cmake -D NPM=npm -D FROM=folder -D INTO=folder -D WITHOUT="what is left out" -P npm_ci.cmake
#   Without npm, or out of reach of its registry, one line says what is left out and the build goes on; the next build tries again.
file(MAKE_DIRECTORY ${INTO})
file(REMOVE ${INTO}/.installed)
file(COPY ${FROM}/package.json ${FROM}/package-lock.json DESTINATION ${INTO})
execute_process(
  COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --loglevel=error --fetch-retries=1 --fetch-retry-mintimeout=2000
  WORKING_DIRECTORY ${INTO} OUTPUT_QUIET ERROR_VARIABLE words RESULT_VARIABLE failed)
if(NOT failed STREQUAL "0")
  file(REMOVE_RECURSE ${INTO}/node_modules)
  if(words MATCHES "EUSAGE|EINTEGRITY") # a lock file that does not fit is a fault of ours, not of the network
    message(FATAL_ERROR "npm ci in ${FROM}: ${words}")
  endif()
  string(REGEX MATCH " code [A-Z_]+" code "${words}")
  message("npm: packages missing (${NPM} ci: ${failed}${code}); ${WITHOUT}. Build again with npm and its registry in reach.")
  return()
endif()
file(TOUCH ${INTO}/.installed)
