# bundle.cmake - src/page.js and the style bundled by esbuild into INTO/page.js and page.css; nothing where esbuild is missing (npm_ci.cmake)
#   usage   cmake -D FROM=viz/page -D INTO=folder -P bundle.cmake      Scripts may import licences/NAME.txt of the two libraries as text.
set(packages ${INTO}/npm/node_modules)
if(NOT EXISTS ${packages}/.bin/esbuild)
  file(REMOVE ${INTO}/page.js ${INTO}/page.css)
  return()
endif()
foreach(library three uplot)
  configure_file(${packages}/${library}/LICENSE ${INTO}/licences/${library}.txt COPYONLY)
endforeach()
set(ENV{NODE_PATH} ${packages}:${INTO})
execute_process(
  COMMAND ${packages}/.bin/esbuild ${FROM}/src/page.js --bundle --minify --format=iife --target=chrome110,firefox113,safari16.4
          --legal-comments=none --loader:.txt=text --log-level=warning --outfile=${INTO}/page.js
  COMMAND_ERROR_IS_FATAL ANY)
