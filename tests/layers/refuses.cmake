# Configures PROJECT_FOLDER; passes when that fails with MESSAGE, or succeeds where MESSAGE is empty.
file(REMOVE_RECURSE ${BUILD_FOLDER})
execute_process(COMMAND ${CMAKE_COMMAND} -G ${GENERATOR} -S ${PROJECT_FOLDER} -B ${BUILD_FOLDER} -DROOT=${ROOT}
                        -DCMAKE_CXX_COMPILER=${COMPILER}
                RESULT_VARIABLE status OUTPUT_VARIABLE output ERROR_VARIABLE errors)
string(REGEX REPLACE "[ \n]+" " " errors "${errors}")
if(MESSAGE STREQUAL "")
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "a project that keeps the rules was refused: ${errors}")
  endif()
elseif(status EQUAL 0)
  message(FATAL_ERROR "the configuration passed; expected: ${MESSAGE}")
elseif(NOT errors MATCHES "${MESSAGE}")
  message(FATAL_ERROR "expected '${MESSAGE}', got: ${errors}")
endif()
