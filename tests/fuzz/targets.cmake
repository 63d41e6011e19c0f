# Fuzz targets. tw_fuzz(NAME LAYER) takes tests/fuzz/fuzz_NAME.c, which defines
# LLVMFuzzerTestOneInput, and links it with LAYER and all to its left:
#   - with TRIMWELL_FUZZ (preset fuzz, clang): the program fuzz_NAME; run it as
#       sh tests/fuzz/run NAME SECONDS
#   - with TRIMWELL_TESTS: the test fuzz/NAME, which replays every file of corpus/NAME, so that
#     what was found once stays mended under any compiler.
function(tw_fuzz name layer)
  set(folder ${PROJECT_SOURCE_DIR}/tests/fuzz)
  if(TRIMWELL_FUZZ)
    add_executable(fuzz_${name} ${folder}/fuzz_${name}.c ${TW_OBJECTS_TO_${layer}})
    target_link_libraries(fuzz_${name} PRIVATE tw_flags ${TW_FOREIGN} -fsanitize=fuzzer)
  endif()
  if(TRIMWELL_TESTS)
    add_executable(replay_${name} ${folder}/fuzz_${name}.c ${folder}/replay.c
                   ${TW_OBJECTS_TO_${layer}})
    target_link_libraries(replay_${name} PRIVATE tw_flags ${TW_FOREIGN})
    add_test(NAME fuzz/${name} COMMAND replay_${name} ${folder}/corpus/${name})
  endif()
endfunction()

tw_fuzz(json base)
tw_fuzz(csv base)
tw_fuzz(length base)
tw_fuzz(inflate base)

tw_fuzz(png image)
tw_fuzz(jpeg image)
tw_fuzz(exif image)
tw_fuzz(profile image)
tw_fuzz(png_rows image)
tw_fuzz(jpeg_rows image)
tw_fuzz(tiff image)

tw_fuzz(colour colour)
tw_fuzz(job job)
tw_fuzz(orders job)
tw_fuzz(plan sheet)
tw_fuzz(pixels pixels)
tw_fuzz(pdf pdfcheck)
tw_fuzz(views proof)
