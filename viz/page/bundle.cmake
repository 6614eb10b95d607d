# bundle.cmake - src/page.js and the style bundled by esbuild into INTO/page.js and page.css; nothing where esbuild is missing (npm_ci.cmake)
#   usage   cmake -D FROM=viz/page -D INTO=folder -P bundle.cmake
set(esbuild ${INTO}/npm/node_modules/.bin/esbuild)
if(NOT EXISTS ${esbuild})
  file(REMOVE ${INTO}/page.js ${INTO}/page.css)
  return()
endif()
foreach(library three uplot)
  configure_file(${INTO}/npm/node_modules/${library}/LICENSE ${INTO}/licences/${library}.txt COPYONLY)
endforeach()
set(ENV{NODE_PATH} ${INTO}/npm/node_modules:${INTO})
execute_process(
  COMMAND ${esbuild} ${FROM}/src/page.js --bundle --minify --format=iife --target=chrome110,firefox113,safari16.4 --legal-comments=none
          --loader:.txt=text --log-level=warning --outfile=${INTO}/page.js
  COMMAND_ERROR_IS_FATAL ANY)
